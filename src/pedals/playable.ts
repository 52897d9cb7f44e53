/** Whether a passage can be planned in time at all, and which short stretch of it cannot. */

import type { Ticks } from '../base/units';
import { settingDistance } from '../harp/setting';
import type { Passage } from '../music/passage';
import { stopsOf } from './demands';
import { type Draft, MOVES_ONLY, chainOf } from './draft';
import { settlingOf } from './foot-times';
import { type PlanFrame, endOf } from './frame';
import { instantsOf, slideNames } from './instants';
import { type Item, itemsOf } from './items';
import { ANY_PRICE } from './priced';
import { canSchedule } from './schedule';
import { settledJobs, settledPlan } from './settling';
import { type TimedAnswer, type TimedTask, solveTimed } from './timed';
import { tuningsFor } from './tuning';
import { type UntimedWeights, backward, forward } from './untimed';
import { jobsOf } from './windows';

/** A search in which no move costs anything: whether there is a plan. */
export const NO_WEIGHTS: UntimedWeights = { move: 0, second: 0, spelling: 0 };

/** Items of a stretch that cannot be played by itself; null where none is known. */
export type Stretch = readonly Item[] | null;

/** A search in time for a passage's stops, under its frame. */
export function timedWith(
  draft: Pick<Draft, 'stops'>,
  frame: PlanFrame,
  search: Pick<TimedTask, 'back' | 'weights' | 'ceiling' | 'workLimit' | 'beam' | 'raises' | 'from'>,
): TimedAnswer {
  const { options } = frame;
  return solveTimed({
    ...search,
    stops: draft.stops,
    start: options.start,
    near: frame.near,
    end: endOf(options),
    begin: frame.begin,
    finish: frame.finish,
    clock: frame.clock,
    gap: frame.gap,
    emergencies: options.emergencies === true,
  });
}

/** Whether a passage can be planned at all, at any price. */
export function playable(passage: Passage, frame: PlanFrame): boolean {
  return tuningsFor(passage, frame.options).some((tuning) => {
    const stops = stopsOf(passage, frame.options, tuning);
    if (stops.some((s) => s.options.length === 0)) return false;
    const chain = chainOf(stops, frame, MOVES_ONLY);
    const back = backward(chain);
    const path = forward(chain, back, settingDistance);
    if (path === null) return false;
    const jobs = jobsOf(stops, path.options, path.start, frame.options.end, frame.begin, frame.finish);
    if (canSchedule(settledJobs(jobs, passage, frame), frame)) return true;
    const near = { back, weights: MOVES_ONLY, ceiling: path.price + 1, workLimit: ANY_PRICE };
    const any = { back, weights: NO_WEIGHTS, ceiling: ANY_PRICE, workLimit: ANY_PRICE };
    const inTime = [near, any].some((search) => timedWith({ stops }, frame, search).kind === 'found');
    if (!inTime || settlingOf(frame.options) === 0) return inTime;
    const instants = instantsOf(passage, frame.options, frame.clock, frame.times.settle, slideNames(passage));
    return settledPlan({ stops, leastMoves: path.price }, frame, instants, ANY_PRICE).plan !== null;
  });
}

/** Stretches of at most this many onsets are asked for a failure before the whole is. */
export const LONGEST_STRETCH = 32;

/** Ids of a short stretch of the passage that cannot be played by itself, or null where none of that length is. */
export function failingStretch(passage: Passage, frame: PlanFrame, longest: number): Stretch {
  const items = itemsOf(passage);
  const onsets = [...new Set(items.map((i) => i.onset))];
  const sorted = { ...passage, plucks: [...passage.plucks].sort((x, y) => x.onset - y.onset) };
  for (let size = 2; size <= longest && size < 2 * onsets.length; size *= 2) {
    let low = 0;
    for (let first = 0; first === 0 || first + size / 2 < onsets.length; first += size / 2) {
      const [from, to] = [onsets[first] as Ticks, onsets[Math.min(first + size, onsets.length) - 1] as Ticks];
      const within = (x: { readonly onset: Ticks }): boolean => x.onset >= from && x.onset <= to;
      while (low < sorted.plucks.length && (sorted.plucks[low] as Item).onset < from) low++;
      let high = low;
      while (high < sorted.plucks.length && (sorted.plucks[high] as Item).onset <= to) high++;
      const stretch = {
        ...sorted,
        plucks: sorted.plucks.slice(low, high),
        sweeps: sorted.sweeps.filter(within),
        trembles: sorted.trembles.filter(within),
      };
      if (!playable(stretch, frame)) return items.filter(within);
    }
  }
  return null;
}
