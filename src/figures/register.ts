/** Registers as windows of strings, and the strings that figures may use. */

import { LETTERS, type Letter } from '../music/pitch';

/** String indices, ends included. */
export type Range = readonly [number, number];

/** 'C3' → 14. The text must be a natural letter and an octave 1–7 (the schema sees to it). */
export const stringNamed = (name: string): number =>
  LETTERS.indexOf(name[0] as Letter) + 7 * (Number(name.slice(1)) - 1);

/** E1: the two lowest strings have no discs and keep one inflection for a whole part. */
export const LOWEST = 2;
/** F7: the top string often has no disc either. */
export const HIGHEST = 45;
/** G2: the right hand goes no lower (Freund & Cutler, Extreme Orchestration). */
export const RIGHT_LOWEST = 11;
/** E2: the hard end for the right hand (common practice). */
export const RIGHT_HARD_LOWEST = 9;

export const clipToHarp = (r: Range): Range => [Math.max(LOWEST, r[0]), Math.min(HIGHEST, r[1])];
