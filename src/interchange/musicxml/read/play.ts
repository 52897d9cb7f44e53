/** The bars as played: absolute onsets, ties joined, small notes placed before what they lead to. */

import { type Ticks, ticks } from '../../../base/units';
import type { Bar } from '../../../music/metre';
import { barTicks } from '../../../music/metre';
import type { KeyChange } from '../../../music/passage';
import { midiOf } from '../../../music/pitch';
import type { RawMark, RawMeasure, RawNote } from './raw';
import type { NoteSource } from './types';
import type { UnreadList } from './unread';

/** A note as it is struck, ties included. */
export interface Struck {
  readonly id: string;
  readonly bar: string;
  onset: number;
  end: number;
  /** Where the file puts it: for a small note, the onset of what it leads to. */
  readonly written: number;
  readonly raw: RawNote;
  /** Lines and let-ring marks of all notes of the tie. */
  lines: RawNote['lines'];
  ring: boolean;
  /** Every written note of the tie, the first first. */
  sources: NoteSource[];
}

export interface PlacedMark {
  readonly onset: Ticks;
  readonly mark: RawMark;
}

export interface Played {
  readonly bars: readonly Bar[];
  /** In the order of the file, bar by bar as played. */
  readonly notes: readonly Struck[];
  readonly marks: readonly PlacedMark[];
  readonly fifths: number;
  readonly keys: readonly KeyChange[];
}

/** Length of a small note: a 32nd (common practice: quick, before the beat). */
const GRACE = 420;

/** Lays bars end to end in playing order. `lengths` are the reaches over all parts, by bar of the file. */
export function play(
  measures: readonly RawMeasure[],
  order: readonly number[],
  lengths: readonly number[],
  part: string,
  unfolded: boolean,
  unread: UnreadList,
): Played {
  const bars: Bar[] = [];
  const notes: Struck[] = [];
  const marks: PlacedMark[] = [];
  const keys: KeyChange[] = [];
  const ids = new Set<string>();
  const repeated = new Map<string, number>();
  const times = new Map<number, number>();
  const fifths = measures[0]?.fifths ?? 0;
  let key = fifths;
  let start = 0;
  for (const index of order) {
    const measure = measures[index] as RawMeasure;
    const pass = (times.get(index) ?? 0) + 1;
    times.set(index, pass);
    const reach = Math.round(Math.max(measure.reach, lengths[index] ?? 0));
    const length = reach > 0 ? reach : barTicks(measure.metre);
    const { number, metre } = measure;
    const played = unfolded ? { written: index, pass } : {};
    bars.push({
      ...{ index: bars.length, number, start: ticks(start), length: ticks(length), metre },
      ...played,
    });
    if (measure.fifths !== key) keys.push({ onset: ticks(start), fifths: measure.fifths });
    key = measure.fifths;
    measure.notes.forEach((raw, n) => {
      const base = (raw.id ?? `m${index + 1}n${n + 1}`) + (pass === 1 ? '' : `.p${pass}`);
      let id = base;
      for (let i = repeated.get(base) ?? 2; ids.has(id); i++) {
        id = `${base}.${i}`;
        repeated.set(base, i + 1);
      }
      ids.add(id);
      const onset = start + Math.round(raw.at);
      const end = start + Math.round(raw.at + raw.length);
      const sources = [{ part, measure: index, note: raw.index }];
      const { lines, ring } = raw;
      notes.push({ id, bar: number, onset, end, written: onset, raw, lines, ring, sources });
    });
    for (const mark of measure.marks) {
      // A mark beyond its bar stays at the bar's end.
      const onset = ticks(start + Math.max(0, Math.min(length, Math.round(mark.at))));
      marks.push({ onset, mark });
    }
    start += length;
  }
  marks.sort((a, b) => a.onset - b.onset);
  const joined = joinTies(notes, unread);
  placeSmallNotes(joined);
  return { bars, notes: joined, marks, fifths, keys };
}

/** Ties of one pitch that may be open at once: more than the voices of any part. */
const MAX_OPEN = 16;

/**
 * Joins each tied note to the one that it continues: the same key of a piano, however spelt, begun earlier and not
 * struck anew since; where several would do, the one that ends latest, in the same voice. Between the two may lie a
 * gap: then the string sounds on through it. A stop that continues nothing is struck, and listed.
 */
function joinTies(notes: readonly Struck[], unread: UnreadList): Struck[] {
  const open = new Map<number, Struck[]>();
  const gone = new Set<Struck>();
  const rank = ({ raw }: Struck): number => (raw.grace ? 0 : raw.tieStop ? 1 : 2);
  for (const note of [...notes].sort((a, b) => a.onset - b.onset || rank(a) - rank(b))) {
    const key = midiOf(note.raw.pitch);
    let waiting = open.get(key) ?? [];
    const ended = waiting.filter((w) => w.end <= note.onset);
    if (note.raw.tieStop) {
      const latest = Math.max(...ended.map((w) => w.end));
      const fits = ended.filter((w) => w.end === latest);
      const from = fits.find((w) => w.raw.voice === note.raw.voice) ?? fits[0];
      if (from !== undefined) {
        from.end = note.end;
        from.lines = [...from.lines, ...note.lines];
        from.ring = from.ring || note.ring;
        from.sources.push(...note.sources);
        gone.add(note);
        if (!note.raw.tieStart) waiting = waiting.filter((w) => w !== from);
        open.set(key, waiting);
        continue;
      }
      unread.add('tie', note.bar, 'without a beginning');
    }
    if (!note.raw.grace && ended.length > 0) {
      for (const w of ended) unread.add('tie', w.bar, 'without an end');
      waiting = waiting.filter((w) => w.end > note.onset);
    }
    if (note.raw.tieStart) waiting = [...waiting.slice(1 - MAX_OPEN), note];
    open.set(key, waiting);
  }
  for (const note of [...open.values()].flat()) unread.add('tie', note.bar, 'without an end');
  return notes.filter((note) => !gone.has(note));
}

/** Small notes come one after the other just before the note that they lead to; before the first, they push it on. */
function placeSmallNotes(notes: readonly Struck[]): void {
  const groups = new Map<string, Struck[][]>();
  for (const note of notes) {
    // The end of a glissando is no small note of its own, and a small note tied on is the note itself.
    const isGoal = note.lines.some((line) => line.type === 'stop');
    if (!note.raw.grace || isGoal || note.end > note.onset) continue;
    const key = `${note.raw.voice} ${note.written}`;
    const chords = groups.get(key) ?? [];
    groups.set(key, chords);
    if (note.raw.chord && chords.length > 0) (chords.at(-1) as Struck[]).push(note);
    else chords.push([note]);
  }
  for (const chords of groups.values()) {
    const first = (chords[0] as Struck[])[0] as Struck;
    const before = chords.length * GRACE;
    if (first.written < before) {
      const shift = before - first.written;
      for (const note of notes) {
        if (note.raw.grace || note.raw.voice !== first.raw.voice || note.onset !== first.written) continue;
        note.onset += Math.min(shift, note.end - note.onset - 1);
      }
    }
    const from = Math.max(0, first.written - before);
    chords.forEach((chord, i) => {
      for (const note of chord) {
        note.onset = from + i * GRACE;
        note.end = note.onset + GRACE;
      }
    });
  }
}
