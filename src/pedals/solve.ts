/** Solving: the cheapest spelling and settings untimed, scheduled for two feet, with the bound that proves it. */

import type { Move } from '../harp/planned';
import { type Setting } from '../harp/setting';
import type { Passage } from '../music/passage';
import type { Option, Stop, Tuning } from './demand-types';
import { type Draft, MOVE_DECIDES, draftsOf } from './draft';
import { type PlanFrame } from './frame';
import { instantsOf, slideNames, type Instants } from './instants';
import type { LabelPlan } from './label-plan';
import { LONGEST_STRETCH, NO_WEIGHTS, type Stretch, failingStretch, timedWith } from './playable';
import { ANY_PRICE, firstLook, groundOf, labelsWith, pricedPlan, secondLook } from './priced';
import { settlingOf } from './foot-times';
import { ratesOf } from './rates';
import { canSchedule } from './schedule';
import { settledPlan } from './settling';
import { type TimedAnswer } from './timed';

type TimedFound = TimedAnswer & { kind: 'found' | 'some' };
import { type UntimedPath } from './untimed';
import { jobsOf } from './windows';

/** A plan of the stops: which option serves each, and the moves. */
export interface Solution {
  readonly stops: readonly Stop[];
  readonly tuning: Tuning;
  readonly start: Setting;
  readonly options: UntimedPath['options'];
  readonly moves: readonly Move[];
  /** True where no plan can have a lower price by the aim. */
  readonly proven: boolean;
  readonly leastMoves: number;
  /** No plan costs fewer points; null where points do not decide. */
  readonly leastPoints: number | null;
  /** What it costs, where it was found in two steps. */
  readonly points?: number;
}

const timesOf = (passage: Passage, frame: PlanFrame): Instants =>
  instantsOf(passage, frame.options, frame.clock, frame.times.settle, slideNames(passage));

/** The cheapest plan by the whole price, over all tunings; null where none was found. */
function solvePriced(
  passage: Passage,
  frame: PlanFrame,
  drafts: readonly Draft[],
  known: number = Number.POSITIVE_INFINITY,
): Solution | null {
  const instants = timesOf(passage, frame);
  const { move, gesture } = ratesOf(frame.options);
  let best: { plan: LabelPlan; draft: Draft } | null = null;
  let floor = Number.POSITIVE_INFINITY;
  for (const draft of drafts) {
    const below: number = best === null ? known : best.plan.price;
    if (below <= draft.leastMoves * (move + gesture / 2)) break;
    const found = pricedPlan(groundOf(draft.stops, frame, instants), below);
    floor = Math.min(floor, found.floor);
    if (found.plan !== null) best = { plan: found.plan, draft };
  }
  if (best === null) return null;
  const { plan, draft } = best;
  return {
    ...{ stops: draft.stops, tuning: draft.tuning, start: plan.start, options: plan.options },
    moves: plan.moves,
    proven: floor >= plan.price,
    leastMoves: (drafts[0] as Draft).leastMoves,
    leastPoints: Math.min(floor, plan.price),
  };
}

/**
 * Solves one passage. `practical`: by labels with the whole price. `fewest`: untimed, then scheduled; where the
 * cheapest untimed plan has no schedule, the timed search finds the cheapest plan that has one; then labels with the
 * whole price among plans of as few moves. Where there is no plan, a short stretch that fails by itself, if one was
 * seen.
 */
export function solve(passage: Passage, frame: PlanFrame): Solution | { readonly failing: Stretch } {
  const drafts = draftsOf(passage, frame);
  if (drafts.length === 0) return { failing: null };
  const { aim } = frame.options;
  const priced = aim === 'practical' ? solvePriced(passage, frame, drafts) : null;
  if (priced !== null) return priced;
  const timed = solveCore(passage, frame, drafts);
  if ('failing' in timed) return timed;
  const core =
    settlingOf(frame.options) === 0 ? timed : (settledCore(passage, frame, drafts) ?? { failing: null });
  if ('failing' in core) return core;
  if (aim === 'fewest') {
    return withFewest(passage, frame, drafts, core) ?? placed(passage, frame, drafts, core);
  }
  // The first look lost its way: now the price to beat is known.
  const found = placed(passage, frame, drafts, core);
  return solvePriced(passage, frame, drafts, (found.points as number) + 1) ?? found;
}

/** The cheapest plan by moves, second positions and spelling, before its instants are chosen. */
interface CorePlan {
  readonly draft: Draft;
  readonly timed: Pick<TimedFound, 'start' | 'options'>;
  readonly price: number;
  /** No plan is cheaper. */
  readonly complete: boolean;
}

/** The most that one move can cost beside itself, and what the rest of a plan costs however it is timed. */
function besideMoves({ timed, price }: CorePlan, moves: number, frame: PlanFrame): number {
  const r = ratesOf(frame.options);
  const feet = r.hasty + 3 * r.reach + 2 * r.emergency;
  const each = r.gesture + feet + 6 * r.ring + Math.max(r.late, r.ahead) + 2 * r.offBeat + r.busy;
  const flips = timed.options.reduce((sum, o) => sum + o.struck.letters.size, 0) * r.flip;
  return moves * each + (price % MOVE_DECIDES) + flips;
}
/**
 * Among all plans of the fewest moves the cheapest by everything else: by the whole price with a move so dear that it
 * outweighs the rest. Null where the search finds none.
 */
function withFewest(
  passage: Passage,
  frame: PlanFrame,
  drafts: readonly Draft[],
  core: CorePlan,
): Solution | null {
  const { options } = frame;
  const least = Math.floor(core.price / MOVE_DECIDES);
  const most = besideMoves(core, least, frame);
  const move = most + 1;
  const rates = { ...options.rates, move };
  const dear: PlanFrame = { ...frame, options: { ...options, aim: 'practical', rates } };
  const found = solvePriced(passage, dear, drafts, least * move + most + 1);
  if (found === null) return null;
  const moves = found.moves.length;
  const floor = found.leastPoints as number;
  return {
    ...found,
    proven: core.complete || found.proven,
    leastPoints: moves * ratesOf(options).move + Math.max(0, floor - moves * move),
  };
}

/** The cheapest plan by moves, second positions and spelling. */
function solveCore(
  passage: Passage,
  frame: PlanFrame,
  drafts: readonly Draft[],
): CorePlan | { readonly failing: Stretch } {
  const { options } = frame;
  let failing: Stretch = null;
  let best: Omit<CorePlan, 'complete'> | null = null;
  let complete = true;
  for (const draft of drafts) {
    const { stops } = draft;
    const { path } = draft.core();
    if (best !== null && best.price <= path.price) continue;
    const jobs = jobsOf(stops, path.options, path.start, options.end, frame.begin, frame.finish);
    if (canSchedule(jobs, frame)) {
      best = { draft, timed: path, price: path.price };
      continue;
    }
    const timed = cheapestInTime(
      draft,
      frame,
      () => (failing ??= failingStretch(passage, frame, LONGEST_STRETCH)),
    );
    if (timed.kind === 'some' || timed.kind === 'limit') complete = false;
    if (timed.kind === 'none' || timed.kind === 'limit' || (best !== null && best.price <= timed.price))
      continue;
    best = { draft, timed, price: timed.price };
  }
  return best === null ? { failing } : { ...best, complete };
}

/** The same where pedals must settle; null where none was found. */
function settledCore(passage: Passage, frame: PlanFrame, drafts: readonly Draft[]): CorePlan | null {
  const { second } = ratesOf(frame.options);
  const instants = timesOf(passage, frame);
  let best: CorePlan | null = null;
  let complete = true;
  for (const draft of drafts) {
    if (best !== null && best.price < draft.leastMoves * MOVE_DECIDES) break;
    const limit = frame.options.workLimit ?? DEFAULT_WORK_LIMIT;
    const { plan, spent } = settledPlan(draft, frame, instants, limit);
    if (spent || plan?.complete === false) complete = false;
    if (plan === null) continue;
    const beyond = plan.moves.reduce((sum, m) => sum + (Math.abs(m.to - m.from) - 1) * second, 0);
    const spelling = plan.options.reduce((sum, o) => sum + o.price, 0);
    const price = plan.moves.length * MOVE_DECIDES + beyond + spelling;
    if (best === null || price < best.price) best = { draft, timed: plan, price, complete };
  }
  return best === null ? null : { ...best, complete };
}

/** A core plan at its cheapest instants. */
function placed(passage: Passage, frame: PlanFrame, drafts: readonly Draft[], core: CorePlan): Solution {
  const { options } = frame;
  const { draft, timed, complete } = core;
  const { moves, price } = placeChosen(passage, draft, timed, frame);
  const fewest = options.aim === 'fewest';
  return {
    ...{ stops: draft.stops, tuning: draft.tuning, start: timed.start, options: timed.options },
    moves,
    points: price,
    proven: complete && fewest,
    leastMoves: (drafts[0] as Draft).leastMoves,
    leastPoints: fewest
      ? moves.length * ratesOf(options).move
      : Math.min(...drafts.map((d) => d.core().path.price)),
  };
}

/** The moves of a plan whose spellings are settled, at the cheapest instants for both feet. */
function placeChosen(
  passage: Passage,
  draft: Draft,
  chosen: Pick<TimedFound, 'start' | 'options'>,
  frame: PlanFrame,
): LabelPlan {
  const stops = draft.stops.map((stop, i) => ({ ...stop, options: [chosen.options[i] as Option] }));
  const ground = groundOf(
    stops,
    { ...frame, options: { ...frame.options, start: chosen.start } },
    timesOf(passage, frame),
  );
  const rates = ratesOf(frame.options);
  for (const search of [firstLook(rates), secondLook(rates), {}]) {
    const { plan } = labelsWith(ground, { ceiling: ANY_PRICE, workLimit: ANY_PRICE, ...search });
    if (plan !== null) return plan;
  }
  throw new Error('a timed plan must have a schedule');
}

const DEFAULT_WORK_LIMIT = 600_000;
const SCAN_LIMIT = 200_000;
/** Labels kept at each stop when the work limit is spent and any plan is better than none. */
const BEAM = 400;

/**
 * Raises the ceiling until a plan in time is found. After two steps it asks whether some short stretch cannot be
 * played at all, later whether the whole can. A spent work limit leaves the best of a narrow search.
 */
function cheapestInTime(draft: Draft, frame: PlanFrame, failing: () => Stretch): TimedAnswer {
  const { path, back, chain } = draft.core();
  const { weights } = chain;
  let work = frame.options.workLimit ?? DEFAULT_WORK_LIMIT;
  let raises: Float64Array = new Float64Array(draft.stops.length + 1);
  for (let slack = 1; ; slack *= 2) {
    const least = path.price + (raises[0] as number);
    // In aim fewest all plans of equally many moves; else a failure must prove that a whole move more is paid.
    const ties = frame.options.aim === 'fewest' ? path.price % weights.move : 0;
    const ceiling = least + slack * weights.move - 1 - ties;
    const answer = timedWith(draft, frame, { back, weights, raises, ceiling, workLimit: work });
    if (answer.kind === 'none' && slack === 1) {
      raises = raisedBound(draft, frame, answer.reached, ceiling + 1 - path.price);
    }
    if (answer.kind === 'found') return answer;
    work -= answer.labels;
    if (work <= 0) {
      let some: TimedAnswer = answer;
      for (const over of [slack * weights.move, 8 * slack * weights.move, ANY_PRICE - least]) {
        const narrow = { back, weights, ceiling: least + over, workLimit: ANY_PRICE, beam: BEAM };
        some = timedWith(draft, frame, narrow);
        if (some.kind === 'found') return { ...some, kind: 'some' };
      }
      return some;
    }
    if (slack === 2 && failing() !== null) return answer;
    if (slack === 16) {
      const any = timedWith(draft, frame, {
        back,
        weights: NO_WEIGHTS,
        ceiling: ANY_PRICE,
        workLimit: ANY_PRICE,
      });
      if (any.kind !== 'found') return any;
    }
  }
}

/** A stretch in which time costs a move is looked for this many stops before the stop where the search ends. */
const LOOK_BACK = [4, 12, 40];

/**
 * Tightens the bound where timing bites. From some stop on, from every setting and with idle feet, nothing gets
 * past a later stop within the untimed price: so every plan pays at least one move more between the two. Such
 * stretches do not overlap, and what they cost adds up. The first failure proves only `proven` points, where no
 * shorter stretch proves a whole move.
 */
function raisedBound(draft: Draft, frame: PlanFrame, failed: number, proven: number): Float64Array {
  const { stops } = draft;
  const { back, chain } = draft.core();
  const { weights } = chain;
  const raises = new Float64Array(stops.length + 1);
  const excess = (from: number): TimedAnswer =>
    timedWith(draft, frame, { back, weights, from, ceiling: weights.move - 1, workLimit: SCAN_LIMIT });
  let [origin, end] = [0, failed];
  while (end < stops.length) {
    const near = LOOK_BACK.map((count) => end - count).find((from) => {
      if (from <= origin) return false;
      const answer = excess(from);
      return answer.kind === 'none' && answer.reached <= end;
    });
    const more = near === undefined && origin === 0 ? proven : weights.move;
    for (let i = near ?? origin; i >= 0; i--) raises[i] = (raises[i] as number) + more;
    origin = end + 1;
    if (origin >= stops.length) break;
    const answer = excess(origin);
    if (answer.kind !== 'none') break;
    end = answer.reached;
  }
  return raises;
}
