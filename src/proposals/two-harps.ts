/** A passage for two harps: divided in several ways, each harp with its own plan and its own check, in bounded work. */

import type { Passage } from '../music/passage';
import type { PlanAnswer, PlanOptions } from '../pedals/types';
import { exactSteps } from './plan-steps';
import { isQuick } from './quick-plan';
import {
  type Division,
  type Harp,
  SPLIT_WAYS,
  type SplitWay,
  divide,
  eventsOf,
  isEmpty,
} from './two-harps-divide';
import {
  type Candidate,
  type Cost,
  FOR_ONE,
  type Split,
  type WhyNot,
  Work,
  better,
  make,
  oneHarp,
  quickly,
  settled,
  sumOf,
  withHands,
  worth,
} from './two-harps-plan';

export type { Division, Harp, SplitWay } from './two-harps-divide';
export type { HarpPart, Split, WhyNot } from './two-harps-plan';

export interface TwoHarpsAnswer {
  /** The plan for one harp, and how many errors the rules find in it (0 where there is no plan). */
  readonly one: PlanAnswer;
  readonly errors: number;
  /** Valid splits, the cheapest first; of the same price the simpler one. */
  readonly splits: readonly Split[];
  /** The cheapest, where one harp cannot play the passage or pays more; else null. */
  readonly best: Split | null;
  /** Ways that do not help: a harp has nothing to play, no plan, or errors; or the work was spent. */
  readonly refused: readonly { readonly way: SplitWay; readonly why: WhyNot }[];
  /** The limit of work was hit: some plans are quick ones, good but not proven, or ways were not looked at. */
  readonly limited: boolean;
}

/** Work in steps of about a microsecond, counted from the notes and not from the clock: about six seconds. */
const WORK = 8_000_000;
/** Ways that are settled: those that lack fewest notes, and are cheapest. */
const SETTLED = 2;

/**
 * A division of price `least` (null: it cannot be played) with each bar given to the other harp where that is cheaper.
 * Looked for with quick plans, and by exact ones where those are not to be had; the last is then made like the others.
 */
function* relief(
  passage: Passage,
  options: PlanOptions,
  start: Division,
  least: Cost | null,
  work: Work,
): Generator<number, Omit<Split, 'saves'> | null> {
  const events = eventsOf(passage);
  const quick = isQuick(passage, options);
  let division: Division = start;
  let best: Omit<Split, 'saves'> | null = null;
  let cost = least;
  // Quick plans are compared with quick plans.
  const quickCost = (d: Division): Cost | null => {
    const made = quickly(passage, d, options, work);
    return made.quick === null ? null : sumOf(made.quick[0].price, made.quick[1].price);
  };
  const way = { kind: 'relief' } as const;
  const reserve = quick ? exactSteps(passage, 0) + passage.plucks.length * 500 : 0;
  if (quick) cost = least === null ? null : (quickCost(start) ?? least);
  for (const [i, bar] of passage.bars.entries()) {
    yield i / passage.bars.length;
    const here = events.filter((e) => e.onset >= bar.start && e.onset < bar.start + bar.length);
    if (here.length === 0) continue;
    const flipped = new Map(division);
    for (const e of here) flipped.set(e.id, division.get(e.id) === 0 ? 1 : 0);
    let found: Cost | null;
    if (quick) {
      if (!work.spend(0, reserve)) break;
      found = quickCost(flipped);
    } else {
      const made = make(
        passage,
        { index: 0, way, division: flipped, quick: null, lost: [], across: 0 },
        options,
        work,
      );
      if ('why' in made && made.why === 'limit') break;
      found = 'split' in made ? made.split : null;
      if (found !== null && (cost === null || better(worth(found, options), worth(cost, options))))
        best = (made as { split: Omit<Split, 'saves'> }).split;
    }
    if (found === null || (cost !== null && !better(worth(found, options), worth(cost, options)))) continue;
    cost = found;
    division = flipped;
  }
  if (!quick || division === start) return best;
  const made = quickly(passage, division, options, work);
  const whole = make(passage, { index: 0, way, division, across: 0, ...made }, options, work);
  return 'split' in whole ? whole.split : null;
}

/**
 * The passage for two harps in steps: yields the share done (0 to 1), and returns the answer. Every way of `ways` is
 * tried, then `relief`; each harp's part is planned under `options` and held against every rule, its hands divided
 * anew where the written ones do not do. Work is counted and bounded: ways are planned quickly first, the most
 * promising then exactly, as far as it goes; `limited` says where it did not. Deterministic.
 */
export function* twoHarpsInSteps(
  passage: Passage,
  options: PlanOptions,
  limits: { readonly ways?: readonly SplitWay[]; readonly work?: number } = {},
): Generator<number, TwoHarpsAnswer> {
  const work = new Work(limits.work ?? WORK);
  yield 0;
  const one = oneHarp(passage, options, work);
  yield 0.2;
  const checked = one.status === 'unplayable' ? null : withHands(one.planned);
  const errors = checked?.problems.filter((p) => p.severity === 'error').length ?? 0;
  const alone =
    one.status === 'unplayable' || errors > 0 ? null : { moves: one.price.moves, points: one.price.points };
  const refused: { index: number; way: SplitWay; why: WhyNot }[] = [];
  const found: { index: number; split: Omit<Split, 'saves'> }[] = [];
  const ways = (limits.ways ?? SPLIT_WAYS).filter((w) => w.kind !== 'relief');
  if (passage.bars.length > 0 && !isEmpty(passage)) {
    const candidates: Candidate[] = [];
    for (const [index, way] of ways.entries()) {
      const division = divide(passage, way);
      candidates.push({ index, way, division, across: 0, ...quickly(passage, division, options, work) });
      yield 0.2 + (0.2 * (index + 1)) / ways.length;
    }
    const promise = (c: Candidate): readonly [number, number] =>
      c.quick === null
        ? [Infinity, c.lost.length]
        : worth(sumOf(c.quick[0].price, c.quick[1].price), options);
    candidates.sort((a, b) => {
      const [x, y] = [promise(a), promise(b)];
      return x[0] === y[0] ? x[1] - y[1] || a.index - b.index : x[0] - y[0];
    });
    // What can be planned exactly needs no notes given across.
    if (exactSteps(passage, null) > FOR_ONE) {
      for (const [i, c] of candidates.slice(0, SETTLED).entries()) {
        candidates[i] = settled(passage, c, options, work);
        yield 0.4;
      }
    }
    for (const [i, candidate] of candidates.entries()) {
      const { index, way } = candidate;
      const made = make(passage, candidate, options, work);
      if ('split' in made) found.push({ index, split: made.split });
      else refused.push({ index, way, why: made.why });
      yield 0.4 + (0.4 * (i + 1)) / candidates.length;
    }
    // Where a way needs no move at all, there is nothing left to relieve.
    const asked = limits.ways === undefined || limits.ways.some((w) => w.kind === 'relief');
    if (asked && found.every(({ split }) => split.moves > 0)) {
      const all = new Map(eventsOf(passage).map((e): [string, Harp] => [e.id, 0]));
      const bar = found.find(({ split }) => split.way.kind === 'bars')?.split ?? null;
      const steps =
        alone === null
          ? relief(passage, options, bar?.division ?? all, bar, work)
          : relief(passage, options, all, alone, work);
      for (;;) {
        const step = steps.next();
        if (step.done !== true) {
          yield 0.8 + step.value / 5;
          continue;
        }
        if (step.value !== null) found.push({ index: ways.length, split: step.value });
        break;
      }
    }
  }
  const splits = found
    .map(({ index, split }) => {
      const saves = alone && { moves: alone.moves - split.moves, points: alone.points - split.points };
      return { index, split: { ...split, saves } };
    })
    .sort((a, b) => {
      const [x, y] = [worth(a.split, options), worth(b.split, options)];
      return x[0] - y[0] || x[1] - y[1] || a.index - b.index;
    })
    .map(({ split }): Split => split);
  const first = splits[0] ?? null;
  const pays = first !== null && (alone === null || better(worth(first, options), worth(alone, options)));
  return {
    one,
    errors,
    splits,
    best: pays ? first : null,
    refused: refused.sort((a, b) => a.index - b.index).map(({ way, why }) => ({ way, why })),
    limited: work.limited,
  };
}

/** The passage for two harps in one go. */
export function twoHarps(
  passage: Passage,
  options: PlanOptions,
  limits: { readonly ways?: readonly SplitWay[]; readonly work?: number } = {},
): TwoHarpsAnswer {
  const steps = twoHarpsInSteps(passage, options, limits);
  for (;;) {
    const step = steps.next();
    if (step.done === true) return step.value;
  }
}
