/** Note values: which lengths can be printed as one note, with a dot or without. */

/** A printed value: MusicXML note type and augmentation dots. */
export interface NoteValue {
  readonly type: string;
  readonly dots: 0 | 1;
}

/** Undotted values in ticks, 3,360 to the quarter; the smallest are fractions, met only inside tuplets. */
const TYPES: readonly (readonly [string, number])[] = [
  ['breve', 26880],
  ['whole', 13440],
  ['half', 6720],
  ['quarter', 3360],
  ['eighth', 1680],
  ['16th', 840],
  ['32nd', 420],
  ['64th', 210],
  ['128th', 105],
  ['256th', 52.5],
  ['512th', 26.25],
  ['1024th', 13.125],
];

const VALUES = new Map<number, NoteValue>(
  TYPES.flatMap(([type, length]) => [
    [length, { type, dots: 0 }],
    [length * 1.5, { type, dots: 1 }],
  ]),
);

/** The plain grid: every undotted value down to the 128th is a multiple of it. */
export const PLAIN = 105;

/** The single printed value of a written length in ticks, or null where it takes several tied notes. */
export const noteValue = (written: number): NoteValue | null => VALUES.get(written) ?? null;

/** Beams of a note type: 1 for an eighth, 0 for a quarter and longer. */
export function beamCount(type: string): number {
  const at = TYPES.findIndex(([name]) => name === type);
  return Math.max(0, at - 3);
}

/** Cuts a number of units into printable lengths, the longest first. `unit` must itself be printable. */
export function cutUnits(count: number, unit: number): number[] {
  const out: number[] = [];
  let left = count;
  while (left > 0) {
    let take = left;
    while (take > 1 && noteValue(take * unit) === null) take--;
    out.push(take);
    left -= take;
  }
  return out;
}
