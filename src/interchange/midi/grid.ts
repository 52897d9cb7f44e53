/** Played onsets as written ones: the nearest place on the grid that a beat is heard in. */

import { TICKS_PER_QUARTER } from '../../base/units';

/** Sixteenth triplets and 32nds; finer onsets are moved to 128ths or the triplets between them. */
const COARSE = [420, 560] as const;
const FINE = [105, 140] as const;
/** Ticks within which an onset belongs to the coarse grid: about 12 ms at a quarter of 90. */
const NEAR = 60;

const nearest = (at: number, units: readonly number[]): number =>
  units
    .map((unit) => Math.round(at / unit) * unit)
    .reduce((a, b) => (Math.abs(b - at) < Math.abs(a - at) ? b : a));

/** The nearest onset that can be written: onsets on the grid of any usual tuplet are left as they are. */
export function quantize(at: number): number {
  if (Number.isInteger(at) && [105, 70, 84, 60].some((unit) => at % unit === 0)) return at;
  const coarse = nearest(at, COARSE);
  return Math.abs(coarse - at) <= NEAR ? coarse : nearest(at, FINE);
}

/** Even parts of a quarter that a beat may be heard in, in the order of preference, each with what it must save. */
const PARTS = [1, 2, 4, 3, 6, 8, 5, 7] as const;
/** Ticks a stroke that a finer division must come nearer by: 8 ms at a quarter of 90 for each step down the list. */
const STEP = 40;

/**
 * Onsets beat by beat: each quarter is heard in halves, quarters, triplets, sextuplets, eighths of it, or fives and
 * sevens, whichever lies nearest to all its strokes; where all are on such a grid already they stay where they are.
 */
export function beatGrid(onsets: readonly number[]): (at: number) => number {
  const beats = new Map<number, number[]>();
  for (const at of onsets) {
    const beat = Math.floor((at + STEP) / TICKS_PER_QUARTER);
    const own = beats.get(beat);
    if (own === undefined) beats.set(beat, [at]);
    else own.push(at);
  }
  const units = new Map<number, number>();
  for (const [beat, own] of beats) {
    if (own.every((at) => quantize(at) === at)) continue;
    const cost = (parts: number, rank: number): number => {
      const unit = TICKS_PER_QUARTER / parts;
      return (
        own.reduce((sum, at) => sum + Math.abs(at - Math.round(at / unit) * unit), 0) +
        own.length * STEP * rank
      );
    };
    const costs = PARTS.map((parts, rank) => cost(parts, rank));
    units.set(beat, TICKS_PER_QUARTER / (PARTS[costs.indexOf(Math.min(...costs))] as number));
  }
  return (at) => {
    const unit = units.get(Math.floor((at + STEP) / TICKS_PER_QUARTER));
    return unit === undefined ? quantize(at) : Math.round(at / unit) * unit;
  };
}
