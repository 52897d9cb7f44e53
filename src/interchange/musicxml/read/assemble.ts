/** Struck notes become plucks, rolls, sweeps and trembles. */

import { type Ticks, ticks } from '../../../base/units';
import type { Dynamic, Hand, Passage, Pluck, Roll, Sweep, Technique, Tremble } from '../../../music/passage';
import { midiOf } from '../../../music/pitch';
import type { TempoChange } from '../../../music/tempo';
import { VELOCITIES } from '../../../harp/performance';
import { type Setting, packSetting, withPosition } from '../../../harp/setting';
import { stringOf } from '../../../harp/strings';
import type { Letter } from '../../../music/pitch';
import type { PlacedMark, Played, Struck } from './play';
import type { RawMeasure, RawNote } from './raw';
import type { WrittenPedals } from './types';
import type { UnreadList } from './unread';

/** Which hand plays a note, or null for all where the file does not tell. Rests count: a hand may be silent. */
export function handsOf(measures: readonly RawMeasure[]): ((raw: RawNote) => Hand) | null {
  const voices = [...new Set(measures.flatMap((measure) => measure.voices))];
  const right = voices.some((voice) => voice >= 1 && voice <= 4);
  const left = voices.some((voice) => voice >= 5 && voice <= 8);
  const byStaff = (raw: RawNote): Hand => (raw.staff === 1 ? 'R' : 'L');
  if (right && left) {
    return (raw) => (raw.voice >= 1 && raw.voice <= 8 ? (raw.voice <= 4 ? 'R' : 'L') : byStaff(raw));
  }
  return new Set(measures.flatMap((measure) => measure.staves)).size === 2 ? byStaff : null;
}

/** The last value of a sorted row of changes at or before a tick. */
function at<T>(changes: readonly { onset: Ticks; value: T }[], when: number, otherwise: T): T {
  return changes.findLast((change) => change.onset <= when)?.value ?? otherwise;
}

interface Lookups {
  readonly dynamic: (lane: 1 | 2, when: number) => Dynamic;
  readonly technique: (staff: 1 | 2, when: number) => Technique;
  readonly setting: (when: number) => Setting;
}

const LEVELS = Object.entries(VELOCITIES) as [Dynamic, number][];

/** The dynamic whose velocity is nearest to a loudness in percent of MusicXML's forte (velocity 90). */
function nearestDynamic(loudness: number): Dynamic {
  const velocity = (loudness * 90) / 100;
  return LEVELS.reduce((a, b) => (Math.abs(b[1] - velocity) < Math.abs(a[1] - velocity) ? b : a))[0];
}

/** The setting that a key signature suggests. */
function keySetting(fifths: number): Setting {
  const positions = { C: 0, D: 0, E: 0, F: 0, G: 0, A: 0, B: 0 } as Record<Letter, -1 | 0 | 1>;
  const sharps: readonly Letter[] = ['F', 'C', 'G', 'D', 'A', 'E', 'B'];
  for (const letter of sharps.slice(0, Math.max(0, fifths))) positions[letter] = 1;
  for (const letter of [...sharps].reverse().slice(0, Math.max(0, -fifths))) positions[letter] = -1;
  return packSetting(positions);
}

function lookups(played: Played): Lookups {
  const { marks, notes, fifths } = played;
  const lanes: Record<1 | 2, { onset: Ticks; value: Dynamic }[]> = { 1: [], 2: [] };
  const words: Record<1 | 2, { onset: Ticks; value: Technique }[]> = { 1: [], 2: [] };
  const settings: { onset: Ticks; value: Setting }[] = [];
  let setting = keySetting(fifths);
  // Where the notes themselves carry a technique, its words are only for the eye.
  const told = new Set(notes.map((note) => note.raw.technique));
  for (const { onset, mark } of marks) {
    if (mark.kind === 'dynamic') {
      for (const lane of [1, 2] as const) {
        if (mark.staff === 0 || mark.staff === lane) lanes[lane].push({ onset, value: mark.dynamic });
      }
    } else if (mark.kind === 'technique') {
      if (!told.has(mark.technique)) words[mark.staff].push({ onset, value: mark.technique });
    } else if (mark.kind === 'setting' || mark.kind === 'move') {
      setting =
        mark.kind === 'setting' ? mark.setting : withPosition(setting, mark.word.letter, mark.word.to);
      settings.push({ onset, value: setting });
    }
  }
  return {
    dynamic: (lane, when) => at(lanes[lane], when, 'mf'),
    technique: (staff, when) => at(words[staff], when, 'ordinary'),
    setting: (when) => at(settings, when, keySetting(fifths)),
  };
}

/** The written parts of a passage. */
export function assemble(
  played: Played,
  hands: ((raw: RawNote) => Hand) | null,
  title: string,
  unread: UnreadList,
): Passage {
  const look = lookups(played);
  const { sweeps, used } = findSweeps(played.notes, hands, look, unread);
  const trembles = findTrembles(played.notes, used, hands, look, unread);
  const struck = played.notes.filter((note) => !used.has(note));
  const plucks = struck.map((note): Pluck => {
    const { raw } = note;
    const hand = hands?.(raw) ?? null;
    const lane = hand === null ? raw.staff : hand === 'R' ? 1 : 2;
    return {
      id: note.id,
      onset: ticks(note.onset),
      duration: ticks(Math.max(1, note.end - note.onset)),
      pitch: raw.pitch,
      hand,
      finger: raw.finger,
      technique: raw.technique ?? look.technique(raw.staff, note.written),
      dynamic: raw.loudness === null ? look.dynamic(lane, note.written) : nearestDynamic(raw.loudness),
      ...(note.ring ? { ring: true } : {}),
      staff: raw.staff,
    };
  });
  plucks.sort((a, b) => a.onset - b.onset || midiOf(a.pitch) - midiOf(b.pitch));
  return {
    title,
    bars: played.bars,
    tempo: tempoOf(played.marks),
    fifths: played.fifths,
    plucks,
    rolls: findRolls(struck, unread),
    sweeps,
    trembles,
    chords: played.marks.flatMap(({ onset, mark }) =>
      mark.kind === 'chord' ? [{ onset, ...mark.chord }] : [],
    ),
    damps: played.marks.flatMap(({ onset, mark }) =>
      mark.kind !== 'damp' ? [] : [mark.below === null ? { onset } : { onset, below: mark.below }],
    ),
  };
}

function tempoOf(marks: readonly PlacedMark[]): TempoChange[] {
  const out: TempoChange[] = [];
  for (const { onset, mark } of marks) {
    if (mark.kind !== 'tempo' || out.at(-1)?.milliBpm === mark.milliBpm) continue;
    if (out.at(-1)?.onset === onset) out.pop();
    out.push({ onset, milliBpm: mark.milliBpm });
  }
  return out;
}

/** Pedal diagrams and single changes, in order. */
export function pedalsOf(marks: readonly PlacedMark[]): WrittenPedals {
  return {
    settings: marks.flatMap(({ onset, mark }) =>
      mark.kind === 'setting' ? [{ onset, setting: mark.setting }] : [],
    ),
    moves: marks.flatMap(({ onset, mark }) => (mark.kind === 'move' ? [{ onset, ...mark.word }] : [])),
  };
}

/**
 * Sweeps between two notes of one voice that a glissando line joins. A small last note ends the sweep where it
 * stands; an ordinary one is struck on its own, and the sweep stops one string before it.
 */
function findSweeps(
  notes: readonly Struck[],
  hands: ((raw: RawNote) => Hand) | null,
  look: Lookups,
  unread: UnreadList,
): { sweeps: Sweep[]; used: Set<Struck> } {
  const sweeps: Sweep[] = [];
  const used = new Set<Struck>();
  const open = new Map<string, Struck>();
  for (const note of notes) {
    for (const line of [...note.lines].sort((a, b) => (a.type === b.type ? 0 : a.type === 'stop' ? -1 : 1))) {
      const key = `${note.raw.voice} ${line.number}`;
      if (line.type === 'start') {
        open.set(key, note);
        continue;
      }
      const first = open.get(key);
      open.delete(key);
      if (first === undefined) {
        unread.add('glissando', note.bar, 'without a first note in its voice');
        continue;
      }
      const [from, last] = [stringOf(first.raw.pitch), stringOf(note.raw.pitch)];
      const step = last < from ? -1 : 1;
      const to = note.raw.grace ? last : last - step;
      const duration = note.written - first.onset;
      if (duration <= 0 || (to - from) * step <= 0) {
        unread.add('glissando', first.bar, 'between neighbouring strings');
        continue;
      }
      used.add(first);
      if (note.raw.grace) used.add(note);
      const hand = hands?.(first.raw) ?? 'R';
      sweeps.push({
        id: first.id,
        onset: ticks(first.onset),
        duration: ticks(duration),
        hand,
        from,
        to,
        settings: [look.setting(first.onset)],
        dynamic:
          first.raw.loudness === null
            ? look.dynamic(hand === 'R' ? 1 : 2, first.onset)
            : nearestDynamic(first.raw.loudness),
      });
    }
  }
  for (const note of open.values()) unread.add('glissando', note.bar, 'without an end in its voice');
  sweeps.sort((a, b) => a.onset - b.onset);
  return { sweeps, used };
}

/** Trembles: chords with tremolo beams at one onset, or two chords that alternate. Adds their notes to `used`. */
function findTrembles(
  notes: readonly Struck[],
  used: Set<Struck>,
  hands: ((raw: RawNote) => Hand) | null,
  look: Lookups,
  unread: UnreadList,
): Tremble[] {
  const groups = new Map<string, { all: Struck[]; onset: number; end: number }>();
  const starts = new Map<number, Struck[]>();
  let marked: RawNote['tremolo'] = null;
  for (const note of notes) {
    const { raw } = note;
    // The beams hang on the first head of a chord only.
    marked = raw.chord ? (raw.tremolo ?? marked) : raw.tremolo;
    if (marked === null || used.has(note)) continue;
    if (marked === 'stop') {
      const first = starts.get(raw.voice) ?? [];
      const onset = first[0]?.onset;
      if (onset === undefined) continue;
      const pair = groups.get(`pair ${raw.voice} ${onset}`) ?? { all: [...first], onset, end: note.end };
      pair.all.push(note);
      groups.set(`pair ${raw.voice} ${onset}`, pair);
      continue;
    }
    if (marked === 'start') {
      const known = starts.get(raw.voice);
      starts.set(raw.voice, known?.[0]?.onset === note.onset ? [...known, note] : [note]);
      continue;
    }
    const key = `${note.onset} ${note.end}`;
    const group = groups.get(key) ?? { all: [], onset: note.onset, end: note.end };
    group.all.push(note);
    groups.set(key, group);
  }
  return [...groups.values()].flatMap(({ all, onset, end }): Tremble[] => {
    const first = all[0] as Struck;
    if (new Set(all.map((note) => stringOf(note.raw.pitch))).size < 2) {
      unread.add('tremolo', first.bar, 'on one string');
      return [];
    }
    for (const note of all) used.add(note);
    const sorted = [...all].sort((a, b) => midiOf(a.raw.pitch) - midiOf(b.raw.pitch));
    const named = all.find((note) => note.raw.notationsId !== null)?.raw.notationsId;
    const loudness = first.raw.loudness;
    const lane = hands?.(first.raw) === 'L' ? 2 : 1;
    return [
      {
        id: named?.replace(/^tremble_/, '').replace(/\.[RL]$/, '') ?? `${first.id}.b`,
        onset: ticks(onset),
        duration: ticks(Math.max(1, end - onset)),
        notes: sorted.map((note, i) => ({
          id: note.id,
          pitch: note.raw.pitch,
          hand: hands?.(note.raw) ?? (i < sorted.length / 2 ? 'L' : 'R'),
        })),
        dynamic: loudness === null ? look.dynamic(lane, onset) : nearestDynamic(loudness),
      },
    ];
  });
}

/** Rolls by onset and number; a bracket takes in the notes between its ends. */
function findRolls(notes: readonly Struck[], unread: UnreadList): Roll[] {
  const groups = new Map<string, { rolled: Struck[]; ends: Struck[] }>();
  const byOnset = new Map<number, Struck[]>();
  for (const note of notes) {
    const { roll, bracket } = note.raw;
    byOnset.set(note.written, [...(byOnset.get(note.written) ?? []), note]);
    if (roll === null && bracket === null) continue;
    const key = `${note.written} ${roll === null ? `b${bracket?.number}` : roll.number}`;
    const group = groups.get(key) ?? { rolled: [], ends: [] };
    groups.set(key, group);
    (roll === null ? group.ends : group.rolled).push(note);
  }
  const pitch = (note: Struck) => midiOf(note.raw.pitch);
  const out: Roll[] = [];
  for (const { rolled, ends } of groups.values()) {
    let members = rolled;
    if (members.length === 0) {
      const low = Math.min(...ends.map(pitch));
      const high = Math.max(...ends.map(pitch));
      const voices = new Set(ends.map((note) => note.raw.voice));
      // A bracket within one voice says nothing of the other hand, which may play between.
      const together = (byOnset.get((ends[0] as Struck).written) ?? []).filter(
        (note) => voices.size > 1 || voices.has(note.raw.voice),
      );
      members = together.filter((note) => pitch(note) >= low && pitch(note) <= high);
    }
    const first = members[0] as Struck;
    if (members.length < 2) {
      unread.add('arpeggiate', first.bar, 'on one note');
      continue;
    }
    const named = members.map((n) => n.raw.roll?.id ?? n.raw.bracket?.id ?? null).find((id) => id !== null);
    out.push({
      id: named?.replace(/^roll_/, '') ?? `${first.id}.roll`,
      plucks: [...members].sort((a, b) => pitch(a) - pitch(b)).map((note) => note.id),
      direction: rolled.length === 0 ? 'none' : (first.raw.roll?.direction ?? 'up'),
    });
  }
  return out;
}
