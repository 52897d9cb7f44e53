/** Struck notes become a passage. */

import { type Ticks, ticks } from '../../../base/units';
import type { Hairpin, Hand, Passage, Pluck, WrittenBar } from '../../../music/passage';
import { midiOf } from '../../../music/pitch';
import type { TempoChange } from '../../../music/tempo';
import { findRolls, findSweeps, findTrembles } from './groups';
import { lookups, nearestDynamic } from './lookups';
import { findSlides } from './slides';
import type { PlacedMark, Played } from './play';
import type { RawMeasure, RawNote } from './raw';
import type { NoteSource, WrittenPedals } from './types';
import type { UnreadList } from './unread';

/** Which hand plays a note, or null for all where the file does not tell. Rests count: a hand may be silent. */
export function handsOf(measures: readonly RawMeasure[]): ((raw: RawNote) => Hand) | null {
  const voices = [...new Set(measures.flatMap((measure) => measure.voices))];
  const right = voices.some((voice) => voice >= 1 && voice <= 4);
  const left = voices.some((voice) => voice >= 5 && voice <= 8);
  const byStaff = (raw: RawNote): Hand => (raw.staff === 1 ? 'R' : 'L');
  if (right && left) {
    return (raw) =>
      raw.hand ?? (raw.voice >= 1 && raw.voice <= 8 ? (raw.voice <= 4 ? 'R' : 'L') : byStaff(raw));
  }
  return new Set(measures.flatMap((measure) => measure.staves)).size === 2 ? byStaff : null;
}

/**
 * Lists words that nothing bears out: 'gliss.' without a sweep, 'bisbigl.' without a tremble, 'm.d.' where the voices
 * do not tell the hands apart, for how far it holds is not said.
 */
function listMeant(
  marks: readonly PlacedMark[],
  { sweeps, trembles }: Pick<Passage, 'sweeps' | 'trembles'>,
  voiced: boolean,
  unread: UnreadList,
): void {
  for (const { onset, mark } of marks) {
    if (mark.kind !== 'meant') continue;
    const spans = mark.what === 'gliss' ? sweeps : mark.what === 'bisbigliando' ? trembles : [];
    const borne = spans.some((span) => span.onset <= onset && onset <= span.onset + span.duration);
    if (!borne && !(mark.what === 'hand' && voiced)) unread.add('words', mark.bar, mark.text);
  }
}

/** The written parts of a passage. */
export function assemble(
  played: Played,
  hands: ((raw: RawNote) => Hand) | null,
  { title, composer }: { readonly title: string; readonly composer: string },
  form: readonly WrittenBar[] | null,
  unread: UnreadList,
): { passage: Passage; sources: Map<string, readonly NoteSource[]> } {
  const look = lookups(played);
  const { slides, goals } = findSlides(played);
  const { sweeps, used } = findSweeps(played.notes, goals, hands, look, unread);
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
  const { marks, keys } = played;
  const hairpins = hairpinsOf(marks, unread);
  const rehearsals = marks.flatMap(({ onset, mark }) =>
    mark.kind === 'rehearsal' ? [{ onset, text: mark.text }] : [],
  );
  const words = marks.flatMap(({ onset, mark }) =>
    mark.kind === 'words' ? [{ onset, text: mark.text, staff: mark.staff }] : [],
  );
  const staccato = struck.flatMap((note) => (note.raw.staccato ? [note.id] : []));
  const sustain = sustainOf(marks, unread);
  const all = played.notes.map((note) => note.raw.voice);
  const voiced = all.some((voice) => voice <= 4) && all.some((voice) => voice >= 5);
  listMeant(marks, { sweeps, trembles }, voiced, unread);
  const passage: Passage = {
    title,
    ...(composer === '' ? {} : { composer }),
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
    ...(keys.length === 0 ? {} : { keys }),
    ...(slides.length === 0 ? {} : { slides }),
    ...(hairpins.length === 0 ? {} : { hairpins }),
    ...(rehearsals.length === 0 ? {} : { rehearsals }),
    ...(words.length === 0 ? {} : { words }),
    ...(form === null ? {} : { form }),
    ...(staccato.length === 0 ? {} : { staccato }),
    ...(sustain.length === 0 ? {} : { sustain }),
  };
  return { passage, sources: new Map(played.notes.map((note) => [note.id, note.sources])) };
}

/** Wedges paired by their number. */
function hairpinsOf(marks: readonly PlacedMark[], unread: UnreadList): Hairpin[] {
  const open = new Map<string, { from: Ticks; kind: Hairpin['kind']; bar: string }>();
  const out: Hairpin[] = [];
  for (const { onset, mark } of marks) {
    if (mark.kind !== 'wedge') continue;
    const begun = open.get(mark.number);
    if (mark.type !== 'stop') {
      if (begun !== undefined) unread.add('wedge', begun.bar, 'without an end');
      open.set(mark.number, { from: onset, kind: mark.type, bar: mark.bar });
      continue;
    }
    open.delete(mark.number);
    if (begun === undefined || onset <= begun.from) unread.add('wedge', mark.bar, 'without a beginning');
    else out.push({ from: begun.from, to: onset, kind: begun.kind });
  }
  for (const { bar } of open.values()) unread.add('wedge', bar, 'without an end');
  return out.sort((a, b) => a.from - b.from);
}

/** Spans of the sustaining pedal; one that is never lifted has no end, is left out and listed. */
function sustainOf(marks: readonly PlacedMark[], unread: UnreadList): { from: Ticks; to: Ticks }[] {
  const out: { from: Ticks; to: Ticks }[] = [];
  let down: Ticks | null = null;
  let downBar = '';
  for (const { onset, mark } of marks) {
    if (mark.kind !== 'sustain') continue;
    if (mark.type === 'start') {
      if (down === null) downBar = mark.bar;
      down ??= onset;
      continue;
    }
    if (down !== null && onset > down) out.push({ from: down, to: onset });
    else unread.add('pedal', mark.bar, 'lifted without being down');
    down = mark.type === 'change' ? onset : null;
    downBar = mark.bar;
  }
  if (down !== null) unread.add('pedal', downBar, 'not lifted');
  return out;
}

function tempoOf(marks: readonly PlacedMark[]): TempoChange[] {
  const out: TempoChange[] = [];
  for (const { onset, mark } of marks) {
    if (mark.kind !== 'tempo') continue;
    const last = out.at(-1);
    const here = last?.onset === onset;
    if (last?.milliBpm === mark.milliBpm && (!here || mark.unseen)) continue;
    if (here) out.pop();
    // A mark and a `sound` of one instant tell one tempo: what is printed is printed.
    const unseen = mark.unseen && (!here || last.unseen === true);
    out.push({ onset, milliBpm: mark.milliBpm, ...(unseen ? { unseen } : {}) });
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
