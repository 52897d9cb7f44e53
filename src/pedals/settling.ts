/** Plans whose pedals must settle before they serve: the fewest moves, found by the labels with nothing else counted. */

import type { Passage } from '../music/passage';
import type { Option, Stop } from './demand-types';
import type { Draft } from './draft';
import { settlingOf } from './foot-times';
import type { PlanFrame } from './frame';
import type { Instants } from './instants';
import type { LabelPlan } from './label-plan';
import { ANY_PRICE, groundOf, labelsWith, secondLook } from './priced';
import { POINTS, type Rates } from './rates';
import type { Job } from './windows';

/** Only moves count. */
const MOVES: Rates = {
  ...(Object.fromEntries(Object.keys(POINTS).map((name) => [name, 0])) as Record<keyof Rates, number>),
  move: 1,
};

/** Windows that end where a pedal has just time to settle; a slide is heard, not awaited, and ends as it was. */
export function settledJobs(jobs: readonly Job[], passage: Passage, frame: PlanFrame): readonly Job[] {
  const settle = settlingOf(frame.options);
  if (settle === 0) return jobs;
  const slid = (job: Job): boolean =>
    (passage.slides ?? []).some(
      (s) => s.onset === job.due && s.to.letter === job.letter && s.to.alter === job.to,
    );
  return jobs.map((job) =>
    job.awaited && !slid(job) ? { ...job, due: frame.clock.before(job.due, settle) } : job,
  );
}

export interface SettledPlan {
  readonly start: LabelPlan['start'];
  readonly options: readonly Option[];
  readonly moves: LabelPlan['moves'];
  /** No plan has fewer moves. */
  readonly complete: boolean;
}

/**
 * The plan of the fewest moves in which every pedal settles in time; null where there is none (`spent` false) or none
 * was found within the limit on work. The ceiling is raised until a plan is found: what it leaves out is never looked at.
 */
export function settledPlan(
  { stops, leastMoves }: Pick<Draft, 'stops' | 'leastMoves'>,
  frame: PlanFrame,
  instants: Instants,
  workLimit: number,
): { readonly plan: SettledPlan | null; readonly spent: boolean } {
  // Spelling costs nothing; demands that are one stay one.
  const free = new Map<Stop['options'], Stop['options']>();
  const unpriced = stops.map((stop): Stop => {
    let options = free.get(stop.options);
    if (options === undefined)
      free.set(stop.options, (options = stop.options.map((o) => ({ ...o, price: 0 }))));
    return { ...stop, options };
  });
  const counted: PlanFrame = { ...frame, options: { ...frame.options, aim: 'practical', rates: MOVES } };
  const ground = groundOf(unpriced, counted, instants);
  const told = (plan: LabelPlan, complete: boolean): SettledPlan => ({
    start: plan.start,
    options: plan.options.map((o, i) => {
      const index = (unpriced[i] as Stop).options.indexOf(o);
      return (stops[i] as Stop).options[index] as Option;
    }),
    moves: plan.moves,
    complete,
  });
  let left = workLimit;
  for (let slack = 1; left > 0; slack = slack >= 16 ? ANY_PRICE : 2 * slack) {
    const found = labelsWith(ground, { ceiling: Math.min(ANY_PRICE, leastMoves + slack), workLimit: left });
    if (found.plan !== null) return { plan: told(found.plan, !found.spent), spent: false };
    if (slack === ANY_PRICE && !found.spent) return { plan: null, spent: false };
    left -= found.labels;
    if (found.spent) break;
  }
  const { plan } = labelsWith(ground, { ceiling: ANY_PRICE, workLimit: ANY_PRICE, ...secondLook(MOVES) });
  return { plan: plan === null ? null : told(plan, false), spent: plan === null };
}
