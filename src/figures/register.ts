/** Registers as windows of strings, and the strings that figures may use. */

import type { Instrument } from '../harp/instrument';
import { TOP_STRING } from '../harp/strings';
import { LETTERS, type Letter } from '../music/pitch';

/** String indices, ends included. */
export type Range = readonly [number, number];

/** 'C3' → 14. The text must be a natural letter and an octave 1–7 (the schema sees to it). */
export const stringNamed = (name: string): number =>
  LETTERS.indexOf(name[0] as Letter) + 7 * (Number(name.slice(1)) - 1);

/**
 * The strings of a harp that figures use: not the discless ones, which keep one inflection for a whole part, and
 * not G7, whose disc is often missing too (Canton & Overlach, Composing for Harp).
 */
export const compassOf = (harp: Instrument): Range => [
  Math.max(harp.lowest, ...harp.discless.map((s) => s + 1)),
  Math.min(harp.highest, TOP_STRING - 1),
];

/** The part of a window that a harp has; at least one octave of it. */
export function clip(window: Range, compass: Range): Range {
  const low = Math.min(Math.max(compass[0], window[0]), compass[1] - 6);
  return [low, Math.max(low, Math.min(compass[1], window[1]))];
}
