/** A bound that is nearly the price: every stretch between stops has its moves at their least, two feet a gesture. */

import type { Setting } from '../harp/setting';
import type { Stop } from './demands';
import type { Instants } from './instants';
import { POINTS } from './rates';
import { ALL_FREE, DIGITS, NEVER, POW3, type Partial7, type Space } from './tables';

/** Least prices of what remains. */
export interface Bound {
  /** From the instant at which the stop before `index` has been struck, in a setting; Infinity where nothing serves. */
  rest(index: number, setting: Setting): number;
}

/** In larger spaces each move is given half a gesture, which is less and found faster. */
const SMALL = 400;

/**
 * The least price of the rest by stop and setting, leaving out only what two moves of one foot cost each other, what
 * flips cost, and that a foot is somewhere: a plan's moves between two stops cost no less than each at the least of
 * every term, with as many gestures as the busier foot has moves.
 */
export function boundOf(
  stops: readonly Stop[],
  end: Partial7,
  begin: number,
  finish: number,
  instants: Instants,
  space: Space,
): Bound {
  const { size, settings, stateOf } = space;
  const target = new Int16Array(size * 21);
  for (let s = 0; s < size; s++) {
    const setting = settings[s] as number;
    for (let k = 0; k < 7; k++) {
      const have = DIGITS[7 * setting + k] as number;
      for (let d = 0; d < 3; d++)
        target[21 * s + 3 * k + d] =
          d === have ? -1 : (stateOf[setting + (d - have) * (POW3[k] as number)] as number);
    }
  }
  const open = Array.from({ length: 7 }, (_, k) =>
    [0, 1, 2].filter((d) => settings.some((s) => DIGITS[7 * s + k] === d)),
  );
  const n = stops.length;
  const kept: Int32Array[] = [];
  const least = new Int32Array(63);
  /** Least points of each pedal's moves between two ticks, by pedal and positions. */
  const price = (from: number, until: number): void => {
    for (let k = 0; k < 7; k++) {
      const digits = open[k] as number[];
      if (digits.length < 2) continue;
      for (const a of digits)
        for (const b of digits) if (a !== b) least[9 * k + 3 * a + b] = instants.least(k, a, b, from, until);
    }
  };
  const cheapest = (after: Int32Array, s: number, first: number, last: number): number => {
    let best = NEVER;
    const setting = settings[s] as number;
    for (let k = first; k < last; k++) {
      const digits = open[k] as number[];
      if (digits.length < 2) continue;
      const have = DIGITS[7 * setting + k] as number;
      for (const d of digits) {
        const to = target[21 * s + 3 * k + d] as number;
        if (to < 0) continue;
        const value = (least[9 * k + 3 * have + d] as number) + (after[to] as number);
        if (value < best) best = value;
      }
    }
    return best;
  };
  /** Gesture by gesture: at most one move of either foot at a time. */
  const gestures = (served: Int32Array): Int32Array => {
    let before = served;
    for (let round = 0; round < 4; round++) {
      const left = new Int32Array(size);
      for (let s = 0; s < size; s++) left[s] = Math.min(before[s] as number, cheapest(before, s, 0, 3));
      const out = new Int32Array(size);
      let changed = false;
      for (let s = 0; s < size; s++) {
        const both = Math.min(left[s] as number, cheapest(left, s, 3, 7)) + POINTS.gesture;
        const value = Math.min(before[s] as number, both);
        if (value < (before[s] as number)) changed = true;
        out[s] = value;
      }
      if (!changed) return before;
      before = out;
    }
    return before;
  };
  /** Pedal by pedal, half a gesture each. */
  const singles = (served: Int32Array): Int32Array => {
    let before = served;
    for (let k = 0; k < 7; k++) {
      if ((open[k] as number[]).length < 2) continue;
      const out = new Int32Array(size);
      for (let s = 0; s < size; s++)
        out[s] = Math.min(before[s] as number, cheapest(before, s, k, k + 1) + POINTS.gesture / 2);
      before = out;
    }
    return before;
  };
  const moved = size <= SMALL ? gestures : singles;
  let last = new Int32Array(size);
  if (end !== ALL_FREE) {
    const { cost } = space.apply(end);
    for (let s = 0; s < size; s++) last[s] = cost[s] === 0 ? 0 : NEVER;
    price(stops.at(-1)?.onset ?? begin, Math.max(finish, stops.at(-1)?.onset ?? begin));
    last = Int32Array.from(moved(last));
  }
  kept[n] = last;
  for (let i = n - 1; i >= 0; i--) {
    const stop = stops[i] as Stop;
    const after = kept[i + 1] as Int32Array;
    const served = new Int32Array(size).fill(NEVER);
    for (const option of stop.options) {
      const { cost } = space.apply(option.needs);
      for (let s = 0; s < size; s++) {
        if (cost[s] !== 0) continue;
        const value = (after[s] as number) + option.price;
        if (value < (served[s] as number)) served[s] = value;
      }
    }
    price(stops[i - 1]?.onset ?? begin, stop.onset);
    kept[i] = moved(served);
  }
  return {
    rest: (index, setting) => {
      const state = stateOf[setting] as number;
      const value = state < 0 ? NEVER : ((kept[index] as Int32Array)[state] as number);
      return value >= NEVER ? Number.POSITIVE_INFINITY : value;
    },
  };
}
