/** A glissando's first octave, written out before its line, belongs to the glissando. */

import { stringOf } from '../../../harp/strings';
import type { Struck } from './play';

/** Strings of an octave, the eighth left out: as many as are written out. */
const OCTAVE = 7;

/** Notes by the voice and instant at which they end. */
export type ByEnd = ReadonlyMap<string, readonly Struck[]>;
const key = (voice: number, end: number): string => `${voice} ${end}`;

export function byEnd(notes: readonly Struck[]): ByEnd {
  const out = new Map<string, Struck[]>();
  for (const note of notes) {
    const at = key(note.raw.voice, note.end);
    out.set(at, [...(out.get(at) ?? []), note]);
  }
  return out;
}

/**
 * The seven notes that lead string by string, each as long as the next, to the note from which a line goes on in their
 * direction (`step` 1 up, -1 down), in order; none where there are not all seven.
 */
export function writtenStart(first: Struck, step: 1 | -1, ends: ByEnd): Struck[] {
  const out: Struck[] = [];
  let next = first;
  for (let i = 0; i < OCTAVE; i++) {
    const before = ends.get(key(first.raw.voice, next.onset)) ?? [];
    const [note] = before;
    if (note === undefined || before.length > 1 || note.lines.length > 0) return [];
    const last = out[0];
    const even = last === undefined || Math.abs(last.end - last.onset - (note.end - note.onset)) <= 1;
    const onward = stringOf(note.raw.pitch) + step === stringOf(next.raw.pitch);
    if (!even || !onward || note.end <= note.onset || note.raw.hand !== first.raw.hand) return [];
    out.unshift(note);
    next = note;
  }
  return out;
}
