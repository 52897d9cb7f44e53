/** Metres, their beats, and the bars of a passage. */

import { type Ticks, TICKS_PER_QUARTER, ticks } from '../base/units';

export interface Metre {
  /** Upper figure: 6 in 6/8. */
  readonly beats: number;
  /** Lower figure, a power of two: 8 in 6/8. */
  readonly unit: number;
}

export interface Bar {
  /** 0-based position in the passage. */
  readonly index: number;
  /** The printed number, '1', '2', … or '0' for an upbeat. */
  readonly number: string;
  readonly start: Ticks;
  readonly length: Ticks;
  readonly metre: Metre;
  /** Where repeats were unfolded: the written bar that this is (see `Passage.form`), from 0, … */
  readonly written?: number;
  /** … and which time it is played, from 1. */
  readonly pass?: number;
}

/** Ticks of a whole bar. */
export const barTicks = (m: Metre): Ticks => ticks((4 * TICKS_PER_QUARTER * m.beats) / m.unit);

/** Compound metres (6/8, 9/8, 12/8 and the like) are felt in dotted units. */
export const isCompound = (m: Metre): boolean => m.unit >= 8 && m.beats % 3 === 0 && m.beats > 3;

/** Ticks of the felt beat: a dotted quarter in 6/8, a quarter in 4/4. */
export const beatTicks = (m: Metre): Ticks =>
  ticks(((4 * TICKS_PER_QUARTER) / m.unit) * (isCompound(m) ? 3 : 1));

/** Ticks of the metre's written beat, in which `beat` counts in reports: an eighth in 6/8, a quarter in 4/4. */
export const countTicks = (m: Metre): Ticks => ticks((4 * TICKS_PER_QUARTER) / m.unit);

/** Felt beats in a bar: 2 in 6/8, 4 in 4/4. */
export const beatsInBar = (m: Metre): number => barTicks(m) / beatTicks(m);

/** Equal bars of one metre, numbered from 1. */
export function makeBars(metre: Metre, count: number): Bar[] {
  const length = barTicks(metre);
  return Array.from({ length: count }, (_, index) => ({
    index,
    number: String(index + 1),
    start: ticks(index * length),
    length,
    metre,
  }));
}

/** The bar that contains a tick; the last bar for anything later. `bars` must not be empty. */
export function barAt(bars: readonly Bar[], at: Ticks): Bar {
  let low = 0;
  let high = bars.length - 1;
  while (low < high) {
    const mid = (low + high + 1) >> 1;
    if ((bars[mid] as Bar).start <= at) low = mid;
    else high = mid - 1;
  }
  return bars[low] as Bar;
}

/** Printed bar number and beat (from 1, in the metre's written beats, fractions allowed) of a tick. */
export function barAndBeat(bars: readonly Bar[], at: Ticks): { bar: string; beat: number } {
  const bar = barAt(bars, at);
  return { bar: bar.number, beat: 1 + (at - bar.start) / countTicks(bar.metre) };
}
