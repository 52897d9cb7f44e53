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
/** The right hand feels at home from middle C up, the left up to two octaves above it. */
const HOME = { right: LANDMARKS.middle.string, left: LANDMARKS.middle.string + 7 } as const;

interface Spot {
  readonly low: number;
  readonly high: number;
  readonly at: Micros;
}
interface Label {
  readonly cost: number;
  readonly spots: Readonly<Record<Hand, Spot | null>>;
  /** Strings from the bottom that the left hand takes among those without a hand. */
  readonly left: number;
  readonly from: Label | null;
}
interface Onset {
  readonly at: Micros;
  readonly free: readonly Pluck[];
  readonly fixed: readonly Pluck[];
  readonly rolled: boolean;
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

function moveCost(before: Spot | null, strings: readonly number[], at: Micros): number {
  if (before === null) return 0;
  const gap = at - before.at;
  let cost = 0;
  if (gap * 16 < 1_000_000 * Math.min(1, strings.length / 3)) cost += COST.fast * 4;
  else if (gap * 7 < 1_000_000) cost += COST.fast;
  const way = Math.abs(Math.min(...strings) + Math.max(...strings) - before.low - before.high);
  if (way > SPANS.limit.strings) {
    const need = Math.floor((450_000 * way) / 28);
    cost += Math.floor(Math.max(0, need - gap) / 10_000) * COST.leap + (way >> 2);
  }
  return cost;
}

/** One onset added to a label, with the lowest `left` free plucks in the left hand. */
function extend(label: Label, onset: Onset, left: number): Label {
  let cost = label.cost;
  const spots: Record<Hand, Spot | null> = { ...label.spots };
  const [below, above] = [onset.free[left - 1], onset.free[left]];
  if (below !== undefined && above !== undefined && stringOf(below.pitch) === stringOf(above.pitch))
    cost += COST.shared;
  for (const hand of ['L', 'R'] as const) {
    const free = hand === 'L' ? onset.free.slice(0, left) : onset.free.slice(left);
    const plucks = [...free, ...onset.fixed.filter((p) => p.hand === hand)];
    if (plucks.length === 0) continue;
    const strings = plucks.map((p) => stringOf(p.pitch));
    cost += shapeCost(hand, strings, onset.rolled) + moveCost(label.spots[hand], strings, onset.at);
    for (const p of free) if (p.staff !== undefined && (p.staff === 1) !== (hand === 'R')) cost += COST.staff;
    spots[hand] = { low: Math.min(...strings), high: Math.max(...strings), at: onset.at };
  }
  if (spots.L !== null && spots.R !== null) cost += Math.max(0, spots.L.low - spots.R.high) * COST.crossed;
  return { cost, spots, left, from: label };
}

const spotKey = (s: Spot | null): string => (s === null ? '-' : `${s.low},${s.high},${s.at}`);

/** The cheapest labels, one for each place of the two hands; the order of equals is that of making. */
function prune(labels: readonly Label[]): Label[] {
  const seen = new Set<string>();
  const out: Label[] = [];
  for (const label of [...labels].sort((a, b) => a.cost - b.cost)) {
    const key = `${spotKey(label.spots.L)}|${spotKey(label.spots.R)}`;
    if (seen.has(key)) continue;
    seen.add(key);
    out.push(label);
    if (out.length === BEAM) break;
  }
  return out;
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

/**
 * The passage with a hand for every pluck; hands already given stay. At each onset the left hand takes the
 * lower strings and the right hand the upper; where to divide is searched over the whole passage (the best 24
 * courses are kept), by fingers, span, reach, leaps, speed, register and the staff it was printed on.
 * Deterministic: the same passage always gets the same hands.
 */
export function assignHands(passage: Passage): Passage {
  if (passage.plucks.every((p) => p.hand !== null)) return passage;
  const onsets = onsetsOf(passage);
  let labels: Label[] = [{ cost: 0, spots: { L: null, R: null }, left: 0, from: null }];
  for (const onset of onsets) {
    const next: Label[] = [];
    for (const label of labels) {
      for (let left = 0; left <= onset.free.length; left++) next.push(extend(label, onset, left));
    }
    labels = prune(next);
  }
  const hands = new Map<string, Hand>();
  let label = labels[0] as Label;
  for (let i = onsets.length - 1; i >= 0; i--) {
    (onsets[i] as Onset).free.forEach((p, k) => hands.set(p.id, k < label.left ? 'L' : 'R'));
    label = label.from as Label;
  }
  return {
    ...passage,
    plucks: passage.plucks.map((p) => ({ ...p, hand: p.hand ?? hands.get(p.id) ?? 'R' })),
  };
}
