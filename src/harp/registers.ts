/** Landmarks of the compass and the registers of the harp, as string indices (0 is C1). */

import type { Source } from './source';
import type { StringIndex } from './strings';

/** A string that a rule names, by its note. */
export interface Landmark {
  readonly string: StringIndex;
  readonly name: string;
  readonly source: Source;
}

export const LANDMARKS = {
  /** Below it the right hand cannot reach. */
  rightHandHardLow: { string: 9, name: 'E2', source: 'common practice' },
  /** Below it the right hand should not go. */
  rightHandLow: { string: 11, name: 'G2', source: 'Freund & Cutler, Extreme Orchestration (2024), Harp' },
  /** Below it thick chords blur and one string repeats most slowly. */
  lowBlur: { string: 14, name: 'C3', source: 'common practice' },
  /** From here up one string repeats at its best. */
  middle: { string: 21, name: 'C4', source: 'common practice' },
  /** Harmonics are written from here … */
  harmonicLow: { string: 11, name: 'G2', source: 'common practice' },
  /** … to here. */
  harmonicHigh: { string: 31, name: 'F5', source: 'common practice' },
  /** The top line of the treble staff: near the soundboard no higher. */
  tableHigh: { string: 31, name: 'F5', source: 'common practice' },
  /** The top octave starts here: intricate lines belong to the right hand. */
  topOctave: {
    string: 39,
    name: 'G6',
    source: 'Einarsdóttir, harp notation manual, Sibelius Academy; Goss, 100 Orchestration Tips, no. 68',
  },
} as const satisfies Readonly<Record<string, Landmark>>;

/** A stretch of strings of one make and one character. */
export interface Register {
  readonly id: 'low' | 'tenor' | 'middle' | 'high' | 'top';
  readonly name: string;
  readonly lowest: StringIndex;
  readonly highest: StringIndex;
  readonly character: string;
  readonly source: Source;
}

/** The concert harp from the bottom up; contiguous, every string in one register. */
export const REGISTERS: readonly Register[] = [
  {
    id: 'low',
    name: 'C1–G2',
    lowest: 0,
    highest: 11,
    character: 'wire-wound, long-ringing, blurs in close chords',
    source: 'Kuntz (wire from about G2 down); common practice',
  },
  {
    id: 'tenor',
    name: 'A2–B3',
    lowest: 12,
    highest: 20,
    character: 'dark and full, rings for several seconds',
    source: 'common practice',
  },
  {
    id: 'middle',
    name: 'C4–B5',
    lowest: 21,
    highest: 34,
    character: 'warm, one to two seconds of sustain',
    source: 'common practice',
  },
  {
    id: 'high',
    name: 'C6–E6',
    lowest: 35,
    highest: 37,
    character: 'bright and short',
    source: 'common practice',
  },
  {
    id: 'top',
    name: 'F6–G7',
    lowest: 38,
    highest: 46,
    character: 'dry and piercing; not to be forced',
    source: 'Berlioz, Grand traité d’instrumentation (1844/55), p. 89; common practice',
  },
];

/** The register of a string; strings beyond the compass count to the nearest. */
export function registerOf(s: StringIndex): Register {
  const found = REGISTERS.find((r) => s <= r.highest);
  return found ?? (REGISTERS.at(-1) as Register);
}
