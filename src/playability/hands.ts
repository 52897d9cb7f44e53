/** Gives hands to plucks that have none: the cheapest division found by a search over all onsets. */

import type { Micros, Ticks } from '../base/units';
import { FINGERS_PER_HAND, SPANS } from '../harp/hands';
import { LANDMARKS } from '../harp/registers';
import { stringOf } from '../harp/strings';
import type { Hand, Passage, Pluck } from '../music/passage';
import { tempoMap } from '../music/tempo';

/** What a division costs, in points. Common practice. */
const COST = {
  /** A finger too many, a right hand too low, a span unrolled past the limit: as good as never. */
  finger: 100_000,
  tooLow: 50_000,
  tooWide: 30_000,
  wideString: 500,
  /** One string divided between the hands. */
  shared: 40_000,
  strained: 20,
  low: 100,
  /** Per string that a hand plays in the other's register. */
  foreign: 2,
  /** Plucks printed on the other hand's staff. */
  staff: 6,
  /** A hand that is quicker than a line may be. */
  fast: 30,
  /** Per centisecond that a leap lacks. */
  leap: 4,
  /** The left hand above where the right has just been, per string. */
  crossed: 3,
} as const;

/** Divisions kept at each onset. */
const BEAM = 24;
/** More than the spots of any part: two ids make one number. */
const MOST_SPOTS = 2 ** 26;
/** The right hand feels at home from middle C up, the left up to two octaves above it. */
const HOME = { right: LANDMARKS.middle.string, left: LANDMARKS.middle.string + 7 } as const;

/** Where a hand is after an onset; two spots of one place and time have one id. */
interface Spot {
  readonly id: number;
  readonly low: number;
  readonly high: number;
  readonly at: Micros;
}
/** The end of one course through the onsets so far. */
interface Label {
  readonly cost: number;
  readonly L: Spot | null;
  readonly R: Spot | null;
}
/** For each label kept at an onset: the label before it, and how many of the free plucks the left hand takes. */
interface Trace {
  readonly from: Uint8Array;
  readonly left: Uint16Array;
}
interface Onset {
  readonly at: Micros;
  readonly free: readonly Pluck[];
  readonly fixed: readonly Pluck[];
  readonly rolled: boolean;
}
/** What one hand would play at an onset. */
interface Share {
  readonly spot: Spot;
  readonly count: number;
}
/** One way of dividing an onset, with all of its cost that does not hang on what came before. */
interface Division {
  readonly cost: number;
  readonly L: Share | null;
  readonly R: Share | null;
}

function shapeCost(hand: Hand, strings: readonly number[], rolled: boolean): number {
  const low = Math.min(...strings);
  const span = Math.max(...strings) - low;
  const count = new Set(strings).size;
  let cost = Math.max(0, count - FINGERS_PER_HAND.count) * COST.finger;
  if (span > SPANS.limit.strings) {
    cost += (rolled ? COST.strained : COST.tooWide) + (span - SPANS.limit.strings) * COST.wideString;
  } else if (span > SPANS.safe.strings) cost += COST.strained;
  if (hand === 'R') {
    if (low < LANDMARKS.rightHandHardLow.string) cost += COST.tooLow;
    else if (low < LANDMARKS.rightHandLow.string) cost += COST.low;
    for (const s of strings) cost += Math.max(0, HOME.right - s) * COST.foreign;
  } else {
    for (const s of strings) cost += Math.max(0, s - HOME.left) * COST.foreign;
  }
  return cost;
}

function moveCost(before: Spot | null, { spot, count }: Share): number {
  if (before === null) return 0;
  const gap = spot.at - before.at;
  let cost = 0;
  if (gap * 16 < 1_000_000 * Math.min(1, count / 3)) cost += COST.fast * 4;
  else if (gap * 7 < 1_000_000) cost += COST.fast;
  const way = Math.abs(spot.low + spot.high - before.low - before.high);
  if (way > SPANS.limit.strings) {
    const need = Math.floor((450_000 * way) / 28);
    cost += Math.floor(Math.max(0, need - gap) / 10_000) * COST.leap + (way >> 2);
  }
  return cost;
}

/** Every division of an onset: the left hand takes none, the lowest, the lowest two … of the free plucks. */
function divisionsOf(onset: Onset, spotOf: (low: number, high: number, at: Micros) => Spot): Division[] {
  const share = (hand: Hand, left: number): { readonly share: Share | null; readonly cost: number } => {
    const free = hand === 'L' ? onset.free.slice(0, left) : onset.free.slice(left);
    const plucks = [...free, ...onset.fixed.filter((p) => p.hand === hand)];
    if (plucks.length === 0) return { share: null, cost: 0 };
    const strings = plucks.map((p) => stringOf(p.pitch));
    let cost = shapeCost(hand, strings, onset.rolled);
    for (const p of free) if (p.staff !== undefined && (p.staff === 1) !== (hand === 'R')) cost += COST.staff;
    const spot = spotOf(Math.min(...strings), Math.max(...strings), onset.at);
    return { share: { spot, count: plucks.length }, cost };
  };
  return Array.from({ length: onset.free.length + 1 }, (_, left) => {
    const [below, above] = [onset.free[left - 1], onset.free[left]];
    const isShared =
      below !== undefined && above !== undefined && stringOf(below.pitch) === stringOf(above.pitch);
    const [L, R] = [share('L', left), share('R', left)];
    return { cost: (isShared ? COST.shared : 0) + L.cost + R.cost, L: L.share, R: R.share };
  });
}

/** The cheapest continuations, one for each place of the two hands; the order of equals is that of making. */
function extend(
  labels: readonly Label[],
  divisions: readonly Division[],
): { readonly labels: Label[]; readonly trace: Trace } {
  const ways = divisions.length;
  const costs = new Float64Array(labels.length * ways);
  labels.forEach((label, k) => {
    divisions.forEach((d, left) => {
      let cost = label.cost + d.cost;
      if (d.L !== null) cost += moveCost(label.L, d.L);
      if (d.R !== null) cost += moveCost(label.R, d.R);
      const L = d.L === null ? label.L : d.L.spot;
      const R = d.R === null ? label.R : d.R.spot;
      if (L !== null && R !== null) cost += Math.max(0, L.low - R.high) * COST.crossed;
      costs[k * ways + left] = cost;
    });
  });
  const order = Uint32Array.from(costs.keys()).sort(
    (a, b) => (costs[a] as number) - (costs[b] as number) || a - b,
  );
  const seen = new Set<number>();
  const out: Label[] = [];
  const trace: Trace = { from: new Uint8Array(BEAM), left: new Uint16Array(BEAM) };
  for (const at of order) {
    const [k, left] = [Math.floor(at / ways), at % ways];
    const [before, d] = [labels[k] as Label, divisions[left] as Division];
    const L = d.L === null ? before.L : d.L.spot;
    const R = d.R === null ? before.R : d.R.spot;
    const key = (L?.id ?? 0) * MOST_SPOTS + (R?.id ?? 0);
    if (seen.has(key)) continue;
    seen.add(key);
    trace.from[out.length] = k;
    trace.left[out.length] = left;
    out.push({ cost: costs[at] as number, L, R });
    if (out.length === BEAM) break;
  }
  return { labels: out, trace };
}

/** Gives one spot for one place and time. Ids count from 1; only spots of the last instant can come again. */
function spotMaker(): (low: number, high: number, at: Micros) => Spot {
  let made: Spot[] = [];
  let last = 0;
  return (low, high, at) => {
    if (made[0] !== undefined && made[0].at !== at) made = [];
    const known = made.find((s) => s.low === low && s.high === high);
    if (known !== undefined) return known;
    const spot = { id: ++last, low, high, at };
    made.push(spot);
    return spot;
  };
}

function onsetsOf(passage: Passage): Onset[] {
  const map = tempoMap(passage.tempo);
  const rolled = new Set(passage.rolls.filter((r) => r.direction !== 'none').flatMap((r) => r.plucks));
  const groups = new Map<Ticks, Pluck[]>();
  for (const p of passage.plucks) {
    const list = groups.get(p.onset);
    if (list === undefined) groups.set(p.onset, [p]);
    else list.push(p);
  }
  return [...groups]
    .sort(([a], [b]) => a - b)
    .map(([onset, plucks]) => ({
      at: map.microsAt(onset),
      free: plucks.filter((p) => p.hand === null).sort((a, b) => stringOf(a.pitch) - stringOf(b.pitch)),
      fixed: plucks.filter((p) => p.hand !== null),
      rolled: plucks.every((p) => rolled.has(p.id)),
    }));
}

/** Onsets between two steps of the search. */
const STEP = 1000;

/**
 * The passage with a hand for every pluck; hands already given stay. At each onset the left hand takes the
 * lower strings and the right hand the upper; where to divide is searched over the whole passage (the best 24
 * courses are kept), by fingers, span, reach, leaps, speed, register and the staff it was printed on.
 * Deterministic: the same passage always gets the same hands. Yields the share done, 0 to 1, every thousand onsets;
 * time and memory grow in proportion to the onsets.
 */
export function* assignHandsInSteps(passage: Passage): Generator<number, Passage> {
  if (passage.plucks.every((p) => p.hand !== null)) return passage;
  const onsets = onsetsOf(passage);
  const spotOf = spotMaker();
  let labels: readonly Label[] = [{ cost: 0, L: null, R: null }];
  const traces: Trace[] = [];
  for (const [i, onset] of onsets.entries()) {
    if (i % STEP === STEP - 1) yield i / onsets.length;
    const next = extend(labels, divisionsOf(onset, spotOf));
    labels = next.labels;
    traces.push(next.trace);
  }
  const hands = new Map<string, Hand>();
  let kept = 0;
  for (let i = onsets.length - 1; i >= 0; i--) {
    const { from, left } = traces[i] as Trace;
    const lowest = left[kept] as number;
    (onsets[i] as Onset).free.forEach((p, k) => hands.set(p.id, k < lowest ? 'L' : 'R'));
    kept = from[kept] as number;
  }
  return {
    ...passage,
    plucks: passage.plucks.map((p) => ({ ...p, hand: p.hand ?? hands.get(p.id) ?? 'R' })),
  };
}

/** The same in one go. */
export function assignHands(passage: Passage): Passage {
  const steps = assignHandsInSteps(passage);
  for (;;) {
    const step = steps.next();
    if (step.done === true) return step.value;
  }
}
