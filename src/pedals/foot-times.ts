/** What a foot needs, in microseconds, and the rates of the practical aim. The page MODEL.md explains both. */

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

/** Practical aim, whole points: what the proof is about. Also the order among plans of equally few moves. */
export const RATES = {
  /** Each move. */
  move: 28,
  /** Each position beyond a move's first: flat to sharp passes through natural. */
  second: 4,
  /** Each pluck spelt otherwise than asked: four of them read worse than one move costs (common practice). */
  respelt: 7,
} as const;

/** Points by which instants are chosen once the moves are settled. */
export const PLACING = {
  /** Each gesture: one left and one right move at one instant are one. */
  gesture: 8,
  /** Each move nearer to its foot's last than is comfortable. */
  hasty: 12,
} as const;

/** Comfortable time between a foot's last move and this one. */
export function comfortableTime(times: FootTimes, last: Letter, letter: Letter, positions: number): number {
  const apart = Math.abs(pedalIndex(last) - pedalIndex(letter));
  return (apart <= 1 ? times.neighbour : times.reach) + (positions > 1 ? times.secondPosition : 0);
}

/** The least time, at most the hard spacing: a shorter comfortable time is taken at its word. */
export const leastTime = (times: FootTimes): number => Math.min(HARD_SPACING, times.neighbour, times.reach);

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
