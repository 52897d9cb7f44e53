/** The whole price of one set of stops: a narrow search first, then the proof that nothing costs less. */

import { type Bound, boundOf } from './bound';
import type { Stop } from './demand-types';
import { type PlanFrame, endOf } from './frame';
import type { Instants } from './instants';
import { type LabelAnswer, type LabelTask, type Links, linksOf, solveLabels } from './labels';
import type { LabelPlan } from './label-plan';
import { type Node, nodesOf, wantedPositions } from './nodes';
import { type Feet, feetOf } from './feet';
import { type Rates, ratesOf } from './rates';

export const ANY_PRICE = Number.MAX_SAFE_INTEGER;
/**
 * How narrow the first search is: labels kept at a node, points above the most promising of a node (one move and a
 * gesture), states met between two nodes.
 */
export const firstLook = ({ move, second, gesture }: Rates): Narrow => ({
  ...{ beam: 16, burst: 3_000 },
  width: move + gesture + second,
});
/** Where that finds nothing. */
export const secondLook = (rates: Rates): Narrow => ({
  ...{ beam: 600, burst: 30_000 },
  width: 5 * firstLook(rates).width,
});
type Narrow = Pick<LabelTask, 'beam' | 'width' | 'burst'>;
/** Labels made to prove a plan: so many, and so many more for each stop. */
const PROOF = { base: 120_000, stop: 100 } as const;

/** What every search of the same stops shares. */
export interface Ground {
  readonly stops: readonly Stop[];
  readonly nodes: readonly Node[];
  readonly links: Links;
  readonly wanted: readonly Uint8Array[];
  readonly bound: Bound;
  readonly frame: PlanFrame;
  readonly instants: Instants;
  readonly feet: Feet;
}

export function groundOf(stops: readonly Stop[], frame: PlanFrame, instants: Instants): Ground {
  const { options, near, begin, finish } = frame;
  const end = endOf(options);
  const wanted = wantedPositions(stops, end);
  const rates = ratesOf(options);
  const { gesture } = rates;
  const bound = boundOf({
    ...{ stops, wanted, begin, finish, instants, near, end, gesture },
    start: options.start,
  });
  const feet = feetOf(options, rates);
  const nodes = nodesOf(stops, begin);
  return { stops, nodes, links: linksOf(stops, nodes, rates.flip), wanted, bound, frame, instants, feet };
}

export function labelsWith(
  ground: Ground,
  search: Pick<LabelTask, 'ceiling' | 'workLimit' | 'raises' | 'between'> &
    Partial<Pick<LabelTask, 'beam' | 'width' | 'burst'>>,
): LabelAnswer {
  const { stops, nodes, links, wanted, bound, instants, feet } = ground;
  const { options, clock, near, finish } = ground.frame;
  return solveLabels({
    ...{ stops, nodes, links, wanted, bound, instants, feet, near, finish, clock },
    ...{ start: options.start, end: endOf(options), emergencies: options.emergencies === true },
    ...{ beam: ANY_PRICE, width: ANY_PRICE, burst: ANY_PRICE },
    ...search,
  });
}

export interface Priced {
  readonly plan: LabelPlan | null;
  /** No plan of these stops costs less. */
  readonly floor: number;
}

/** The cheapest plan below a price. */
export function pricedPlan(ground: Ground, below: number): Priced {
  const { options } = ground.frame;
  const { stops } = ground;
  const first = labelsWith(ground, {
    ...{ ceiling: below, ...firstLook(ratesOf(options)) },
    workLimit: ANY_PRICE,
  });
  const ceiling = Math.min(below, first.plan?.price ?? below);
  // Without a price to beat the core tells what can be played.
  const lost = ceiling >= ANY_PRICE;
  if (first.floor >= ceiling || lost) {
    return { plan: first.plan, floor: Math.min(ceiling, first.floor) };
  }
  const limit = options.proofLimit ?? options.workLimit ?? PROOF.base + PROOF.stop * stops.length;
  const raised = first.plan === null ? null : raisedBound(ground, first.plan, limit);
  const proven = Math.max(first.floor, raised?.least ?? 0);
  if (proven >= ceiling) return { plan: first.plan, floor: ceiling };
  const work = limit - (raised?.labels ?? 0);
  const whole = labelsWith(ground, {
    ...{ ceiling, beam: ANY_PRICE, width: ANY_PRICE, workLimit: work },
    raises: raised?.raises,
  });
  if (!whole.spent) return { plan: whole.plan ?? first.plan, floor: whole.plan?.price ?? ceiling };
  return { plan: first.plan, floor: Math.min(ceiling, Math.max(proven, whole.floor)) };
}

/** Stops looked at before and after a place where a plan pays more than the bound. */
const MARGIN = 12;
/** Places nearer to each other than this are looked at together. */
const TOGETHER = 12;

interface Raised {
  /** Proven additions to the bound, by stop index. */
  readonly raises: Float64Array;
  /** No plan costs less. */
  readonly least: number;
  readonly labels: number;
}

/**
 * Tightens the bound where a plan pays more than it: around each such place a search from every setting, with idle
 * feet, tells the least that any plan pays there beyond the bound. Stretches do not overlap, so what they cost adds up.
 */
function raisedBound(ground: Ground, plan: LabelPlan, limit: number): Raised {
  const { stops, bound } = ground;
  const n = stops.length;
  const places: { from: number; until: number; paid: number }[] = [];
  let before = bound.rest(0, plan.start);
  [...plan.totals, plan.price].forEach((total, i) => {
    const paid = total - before;
    before = total;
    if (paid <= 0) return;
    const last = places.at(-1);
    if (last !== undefined && i - last.until < TOGETHER) {
      last.until = Math.min(n, i + 1);
      last.paid += paid;
    } else places.push({ from: Math.min(i, n - 1), until: Math.min(n, i + 1), paid });
  });
  const raises = new Float64Array(n + 1);
  let [labels, free] = [0, 0];
  places.forEach((place, i) => {
    const from = Math.max(free, place.from - MARGIN);
    const next = places[i + 1]?.from ?? n + MARGIN;
    const until = Math.min(n, place.until + MARGIN, Math.max(place.until, (place.until + next) >> 1));
    free = until;
    if (from >= until || labels >= limit) return;
    const found = labelsWith(ground, {
      ...{ between: [from, until], ceiling: place.paid },
      workLimit: limit - labels,
    });
    labels += found.labels;
    const more = Math.min(place.paid, found.least, found.floor);
    for (let k = from; k >= 0; k--) raises[k] = (raises[k] as number) + more;
  });
  const start = ground.frame.options.start;
  const settings = start === null ? [...bound.settings(0)] : [start];
  const least = settings.reduce((low, s) => Math.min(low, bound.rest(0, s)), Number.POSITIVE_INFINITY);
  return { raises, least: least + (raises[0] as number), labels };
}
