/** Notes that belong together: sweeps, trembles, rolls. */

import { ticks } from '../../../base/units';
import type { Hand, Roll, Sweep, Tremble } from '../../../music/passage';
import { midiOf } from '../../../music/pitch';
import { stringOf } from '../../../harp/strings';
import { type Lookups, nearestDynamic } from './lookups';
import type { Struck } from './play';
import type { RawNote } from './raw';
import type { UnreadList } from './unread';
import { byEnd, writtenStart } from './written-start';

/**
 * Sweeps between two notes of one voice that a glissando line joins. A small last note ends the sweep where it
 * stands; an ordinary one is struck on its own, and the sweep stops one string before it.
 */
export function findSweeps(
  notes: readonly Struck[],
  goals: ReadonlySet<Struck>,
  hands: ((raw: RawNote) => Hand) | null,
  look: Lookups,
  unread: UnreadList,
): { sweeps: Sweep[]; used: Set<Struck> } {
  const sweeps: Sweep[] = [];
  const used = new Set<Struck>(goals);
  const open = new Map<string, Struck>();
  const ends = byEnd(notes);
  for (const note of notes) {
    for (const line of [...note.lines].sort((a, b) => (a.type === b.type ? 0 : a.type === 'stop' ? -1 : 1))) {
      const key = `${note.raw.voice} ${line.number}`;
      if (line.type === 'start') {
        open.set(key, note);
        continue;
      }
      const first = open.get(key);
      open.delete(key);
      if (goals.has(note)) continue;
      if (first === undefined) {
        unread.add('glissando', note.bar, 'without a first note in its voice');
        continue;
      }
      const [start, last] = [stringOf(first.raw.pitch), stringOf(note.raw.pitch)];
      const step = last < start ? -1 : 1;
      const to = note.raw.grace ? last : last - step;
      if (note.written <= first.onset || (to - start) * step <= 0) {
        unread.add('glissando', first.bar, 'between neighbouring strings');
        continue;
      }
      const led = [...writtenStart(first, step, ends), first];
      const begun = led[0] as Struck;
      const from = stringOf(begun.raw.pitch);
      const duration = note.written - begun.onset;
      for (const each of led) used.add(each);
      begun.sources = [...led.flatMap((each) => each.sources), ...note.sources];
      if (note.raw.grace) used.add(note);
      const hand = hands?.(begun.raw) ?? 'R';
      sweeps.push({
        id: begun.id,
        onset: ticks(begun.onset),
        duration: ticks(duration),
        hand,
        from,
        to,
        settings: [look.setting(begun.onset)],
        dynamic:
          begun.raw.loudness === null
            ? look.dynamic(hand === 'R' ? 1 : 2, begun.onset)
            : nearestDynamic(begun.raw.loudness),
      });
    }
  }
  for (const note of open.values()) unread.add('glissando', note.bar, 'without an end in its voice');
  sweeps.sort((a, b) => a.onset - b.onset);
  return { sweeps, used };
}

/** Trembles: chords with tremolo beams at one onset, or two chords that alternate. Adds their notes to `used`. */
export function findTrembles(
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
export function findRolls(notes: readonly Struck[], unread: UnreadList): Roll[] {
  const groups = new Map<string, { rolled: Struck[]; ends: Struck[] }>();
  const byOnset = new Map<number, Struck[]>();
  for (const note of notes) {
    const { roll, bracket } = note.raw;
    const together = byOnset.get(note.written);
    if (together === undefined) byOnset.set(note.written, [note]);
    else together.push(note);
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
