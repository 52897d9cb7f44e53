/** Beams: notes shorter than a quarter, joined within a felt beat. */

import { beamCount } from './values';

export interface BeamNote {
  /** MusicXML note type. */
  readonly type: string;
  /** Notes with equal keys may share a beam; null for rests. */
  readonly group: string | null;
  /** Where it differs from the note before, beams after the first are broken: the hand places anew. */
  readonly place?: string;
}

/**
 * For each note its `beam` values from the first beam on; an empty list for a flag, a rest or none. One rest shorter than
 * an eighth inside a group is beamed over, so that no lone flag stands beside it.
 */
export function beams(notes: readonly BeamNote[]): string[][] {
  const out: string[][] = notes.map(() => []);
  let start = 0;
  while (start < notes.length) {
    const { group, type } = notes[start] as BeamNote;
    let end = start + 1;
    if (group !== null && beamCount(type) > 0) {
      const joins = (i: number): boolean =>
        notes[i]?.group === group && beamCount((notes[i] as BeamNote).type) > 0;
      const passes = (i: number): boolean => {
        const rest = notes[i];
        return rest?.group === null && beamCount(rest.type) > 1 && joins(i + 1);
      };
      while (joins(end) || passes(end)) end++;
      if (end - start > 1) joinRun(notes.slice(start, end), start, out);
    }
    start = end;
  }
  return out;
}

function joinRun(run: readonly BeamNote[], offset: number, out: string[][]): void {
  const counts = run.map((note) => beamCount(note.type));
  counts.forEach((count, i) => {
    if (run[i]?.group === null) return;
    for (let level = 1; level <= count; level++) {
      const joins = (other: number): boolean =>
        (counts[other] ?? 0) >= level && (level === 1 || run[other]?.place === run[i]?.place);
      const before = joins(i - 1);
      const after = joins(i + 1);
      const value =
        before && after
          ? 'continue'
          : before
            ? 'end'
            : after
              ? 'begin'
              : i === 0 || run[i - 1]?.place !== run[i]?.place
                ? 'forward hook'
                : 'backward hook';
      (out[offset + i] as string[]).push(value);
    }
  });
}
