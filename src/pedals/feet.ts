/** What a foot's last move asks of its next: when it may move again, at what cost, and which of two feet is freer. */

import { PEDALS } from '../harp/setting';
import type { Letter } from '../music/pitch';
import type { Option } from './demand-types';
import { comfortableTime, leastTime, settlingOf } from './foot-times';
import { ALL_FREE, partialDigit } from './tables';
import { REACH_WITHIN, type Rates } from './rates';
import type { PlanOptions } from './types';

/** A foot's last move: its pedal (-1 where it no longer matters) and tick. */
export interface FootState {
  readonly pedal: number;
  readonly at: number;
  readonly micros: number;
  /** The pedals of that motion, as bits, those that slide left out: they must settle before they serve. */
  readonly bits: number;
  /** Ticks from which less is asked of its next move, ascending; found when first asked for. */
  easier?: readonly number[];
}
export const IDLE: FootState = { pedal: -1, at: -1, micros: Number.NEGATIVE_INFINITY, bits: 0 };

/** What is compared when one label or state gives way to another. */
export interface Reached {
  readonly price: number;
  readonly left: FootState;
  readonly right: FootState;
  readonly option: Option | null;
}

export interface Feet {
  /**
   * Whether `a` can do all that `b` can after a tick, for no more. `struck`: moves at the very instant at which their
   * options were struck are still to come.
   */
  dominates(a: Reached, b: Reached, micros: number, struck: boolean): boolean;
  /** The foot as the next node sees it: idle where its last move no longer matters. */
  rested(foot: FootState, micros: number): FootState;
  readonly gap: number;
  /** Microseconds that a pedal must stand before its next pluck; 0 where it need not. */
  readonly settle: number;
  readonly rates: Rates;
  readonly comforts: readonly number[];
  /** Pedals that a foot has only just moved, so that nothing can be plucked on them at an instant yet; as bits. */
  unsettled(foot: FootState, micros: number): number;
  cost(foot: FootState, pedal: number, travelled: number, micros: number): number;
}

export function feetOf(
  options: Pick<PlanOptions, 'times' | 'emergencies' | 'mustSettle'>,
  rates: Rates,
): Feet {
  const { times } = options;
  const emergencies = options.emergencies === true;
  const settle = settlingOf(options);
  const gap = leastTime(times, settle);
  const least = [
    gap,
    times.neighbour,
    times.reach,
    times.neighbour + times.secondPosition,
    times.reach + times.secondPosition,
    REACH_WITHIN,
  ];
  const comforts = [...new Set(least.filter((t) => t >= gap))].sort((a, b) => a - b);
  const horizon = Math.max(...comforts, settle);
  const comfort = Math.max(times.neighbour, times.reach) + times.secondPosition;
  const late = Math.max(rates.late, rates.ahead);
  // Most pedals moved at one instant, and passed over by a foot.
  const most = emergencies ? 4 : 2;
  const passed = emergencies ? [2, 3] : [1, 2];
  return {
    gap,
    settle,
    comforts,
    rates,
    rested: (foot, micros) => (micros - foot.micros >= horizon ? IDLE : foot),
    dominates: (a, b, micros, struck) => {
      let over = b.price - a.price;
      if (over < 0) return false;
      if (a.option !== b.option && a.option?.struck !== b.option?.struck) {
        over -= rates.flip * (a.option?.struck.letters.size ?? 0);
        // A pedal that was struck in its old position moves then without being late for what is struck.
        if (struck && over >= 0)
          over -= late * Math.min(most, newlyFixed(a.option?.struck.needs, b.option?.struck.needs));
        if (over < 0) return false;
      }
      for (let side = 0; side < 2; side++) {
        const x = side === 0 ? a.left : a.right;
        const y = side === 0 ? b.left : b.right;
        if (x.pedal < 0) continue;
        const since = micros - x.micros;
        if (since < settle && (x.bits & ~y.bits || (x.bits && x.at > y.at))) return false;
        if (x.at <= y.at && x.pedal === y.pedal) continue;
        if (x.at > y.at && since < gap) return false;
        if (since < comfort) over -= rates.hasty;
        if (since < REACH_WITHIN) over -= rates.reach * (passed[side] as number);
      }
      return over >= 0;
    },
    unsettled: (foot, micros) => (micros - foot.micros < settle ? foot.bits : 0),
    cost: (foot, pedal, travelled, micros) => {
      if (foot.pedal < 0) return 0;
      const since = micros - foot.micros;
      if (since < gap) return Number.POSITIVE_INFINITY;
      const apart = Math.abs(pedal - foot.pedal) - 1;
      const wants = comfortableTime(times, PEDALS[foot.pedal] as Letter, PEDALS[pedal] as Letter, travelled);
      return (
        (since < wants ? rates.hasty : 0) + (since < REACH_WITHIN && apart > 0 ? apart * rates.reach : 0)
      );
    },
  };
}

/** Pedals that the second partial setting fixes and the first leaves free. */
function newlyFixed(a: number = ALL_FREE, b: number = ALL_FREE): number {
  let count = 0;
  for (let k = 0; k < 7; k++) if (partialDigit(b, k) !== 3 && partialDigit(a, k) === 3) count++;
  return count;
}
