/** What a foot needs, in microseconds. The page MODEL.md explains it. */

import { CONCERT_HARP } from '../harp/instrument';
import { type Foot, pedalIndex } from '../harp/setting';
import type { Letter } from '../music/pitch';
import type { FootTimes, PlanOptions } from './types';

/** About two changes a second for one foot (Volpé Bligh, Writing for the Pedal Harp); the rest common practice. */
export const DEFAULT_FOOT_TIMES: FootTimes = {
  neighbour: 350_000,
  reach: 500_000,
  secondPosition: 150_000,
  settle: 100_000,
};

/** Two instants of one foot closer than this cannot be done (common practice). */
export const HARD_SPACING = 250_000;

/** Comfortable time between a foot's last move and this one. */
export function comfortableTime(times: FootTimes, last: Letter, letter: Letter, positions: number): number {
  const apart = Math.abs(pedalIndex(last) - pedalIndex(letter));
  return (apart <= 1 ? times.neighbour : times.reach) + (positions > 1 ? times.secondPosition : 0);
}

/**
 * The least time between two instants of a foot: at most the hard spacing; a shorter comfortable time is taken at its
 * word. Where pedals must settle the foot stays on each for so long.
 */
export const leastTime = (times: FootTimes, settle = 0): number =>
  Math.max(settle, Math.min(HARD_SPACING, times.neighbour, times.reach));

/** Microseconds that a pedal must stand before its next pluck; 0 where a plan may leave less. */
export const settlingOf = (options: Pick<PlanOptions, 'mustSettle' | 'times'>): number =>
  options.mustSettle === true ? options.times.settle : 0;

export const FEET: readonly Foot[] = ['left', 'right'];

/** The concert harp, free start and end, respelling allowed, aim `practical`. */
export const defaultPlanOptions: PlanOptions = {
  aim: 'practical',
  instrument: CONCERT_HARP,
  start: null,
  end: null,
  keepSpelling: false,
  times: DEFAULT_FOOT_TIMES,
};
