/** The joint choice: one candidate texture a bar and the pedals under them, exactly the cheapest together. */

import { ALL_FREE, type Partial7, mergePartials } from '../pedals/tables';

/** One way to serve a stop: what it needs of the pedals, and its own cost. */
export interface JointOption {
  readonly needs: Partial7;
  readonly cost: number;
}

/** What one texture asks in one bar. */
export interface JointCandidate {
  /** Craft of the bar, in whole points. */
  readonly cost: number;
  /** What is struck in order; at each stop one option must stand. A stop without options cannot be served. */
  readonly stops: readonly (readonly JointOption[])[];
}

export interface JointProblem {
  /** The candidates of each bar; none empty. */
  readonly bars: readonly (readonly JointCandidate[])[];
  /** Craft of neighbours: candidate `from` of a bar, then candidate `to` of the next; FORBIDDEN rules it out. */
  readonly pair: (bar: number, from: number, to: number) => number;
  /** Where the pedals stand before; a free digit is set without cost when first needed. */
  readonly start: Partial7;
  /** What must stand at the end. */
  readonly end: Partial7;
  /** Of one move, and of its second position; second ≤ move, so that it never pays to move before the need. */
  readonly weights: { readonly move: number; readonly second: number };
}

export interface JointAnswer {
  /** The candidate of each bar. */
  readonly choice: readonly number[];
  readonly cost: number;
}

/** As a pair's cost: these two cannot follow one another. */
export const FORBIDDEN = 1 << 29;

const LOW = 0x1555;
const bits = (x: number): number => {
  let n = 0;
  for (let rest = x; rest !== 0; rest &= rest - 1) n++;
  return n;
};
/** Bit counts of 14-bit words. */
const BITS = Uint8Array.from({ length: 1 << 14 }, (_, x) => bits(x));
/** The digits of a partial setting that are free, as the low bits of their pairs. */
const freeOf = (p: Partial7): number => p & (p >> 1) & LOW;
/** Low bits of pairs to both bits. */
const both = (low: number): number => low | (low << 1);

/** Cost of moving from a state so that `needs` stands. */
export function moveCost(state: Partial7, needs: Partial7, weights: JointProblem['weights']): number {
  const diff = state ^ needs;
  const moved = (diff | (diff >> 1)) & LOW & ~freeOf(state) & ~freeOf(needs);
  if (moved === 0) return 0;
  // Flat to sharp is 0 to 2: only the high bit of the pair differs.
  const far = (diff >> 1) & ~diff & moved;
  return weights.move * (BITS[moved] as number) + weights.second * (BITS[far] as number);
}

/** The state after `needs` was met: what it leaves free stays as it was. */
const after = (state: Partial7, needs: Partial7): Partial7 => {
  const free = both(freeOf(needs));
  return (state & free) | (needs & ~free);
};

/** States with the least cost of each and where it came from. */
class Front {
  states: number[] = [];
  readonly cost = new Int32Array(1 << 14).fill(-1);
  readonly from = new Int32Array(1 << 14);
  offer(state: number, cost: number, from: number): void {
    const known = this.cost[state] as number;
    if (known < 0) this.states.push(state);
    else if (known <= cost) return;
    this.cost[state] = cost;
    this.from[state] = from;
  }
  clear(): void {
    for (const s of this.states) this.cost[s] = -1;
    this.states = [];
  }
}

/** How many of the cheapest states the others are held against. */
const HELD_AGAINST = 8;

/**
 * Leaves out states that another reaches at no more than their cost, what may have to be paid for pedals that the
 * other has set and they have free included: whatever follows, the other is no dearer.
 */
function prune(front: Front, { weights }: JointProblem): void {
  const { states, cost } = front;
  if (states.length <= HELD_AGAINST) return;
  const price = (s: number): number => cost[s] as number;
  const best: number[] = [];
  for (const s of states) {
    let at = best.length;
    while (at > 0 && price(best[at - 1] as number) > price(s)) at--;
    if (at < HELD_AGAINST) {
      best.splice(at, 0, s);
      if (best.length > HELD_AGAINST) best.pop();
    }
  }
  const freedom = weights.move + weights.second;
  const kept: number[] = [];
  const left: number[] = [];
  for (const s of states) {
    const free = freeOf(s);
    let out = false;
    for (const b of best) {
      if (b === s) break;
      const held = BITS[free & ~freeOf(b)] as number;
      if (price(b) + moveCost(b, s, weights) + freedom * held <= price(s)) {
        out = true;
        break;
      }
    }
    (out ? left : kept).push(s);
  }
  for (const s of left) cost[s] = -1;
  front.states = kept;
}

/** Stops that are served by what stands already need no second look. */
function condensed(stops: JointCandidate['stops']): JointCandidate['stops'] {
  let standing: Partial7 = ALL_FREE;
  return stops.filter((options) => {
    const only = options.length === 1 ? options[0] : undefined;
    if (only === undefined) {
      standing = ALL_FREE;
      return true;
    }
    if (only.cost === 0 && mergePartials(standing, only.needs) === standing) return false;
    standing = after(standing, only.needs);
    return true;
  });
}

/** The states at the end of a bar under one candidate, with the entries of the bar that they came from. */
interface Exits {
  readonly states: readonly number[];
  readonly costs: readonly number[];
  /** For each state: candidate of the bar before × 16384 + the state at the join. */
  readonly from: readonly number[];
}

/** Runs one bar: from states at its beginning to states at its end. */
function serve(problem: JointProblem, candidate: JointCandidate, entry: Front, scratch: Front): Exits {
  let [here, there] = [entry, scratch];
  for (const options of condensed(candidate.stops)) {
    there.clear();
    for (const state of here.states) {
      const cost = here.cost[state] as number;
      const from = here.from[state] as number;
      for (const option of options)
        there.offer(
          after(state, option.needs),
          cost + option.cost + moveCost(state, option.needs, problem.weights),
          from,
        );
    }
    prune(there, problem);
    [here, there] = [there, here];
  }
  const states = [...here.states];
  return {
    states,
    costs: states.map((s) => (here.cost[s] as number) + candidate.cost),
    from: states.map((s) => here.from[s] as number),
  };
}

/**
 * The cheapest choice of one candidate a bar: craft of bars, craft of neighbours and pedal moves together; null where
 * none can be served. Exact, by dynamic programming over candidate and setting at each bar line: a pedal moves where a
 * stop needs it, which in the untimed problem is never dearer than before; ties go to the earlier candidate. It is the
 * cost without the clock: whether two feet can serve it is for the pedal plan.
 */
export function chooseJointly(problem: JointProblem): JointAnswer | null {
  const { bars, pair, start, end, weights } = problem;
  const fronts = [new Front(), new Front()] as const;
  const trail: Exits[][] = [];
  for (let b = 0; b < bars.length; b++) {
    const before = trail[b - 1];
    trail.push(
      (bars[b] as readonly JointCandidate[]).map((candidate, c) => {
        const [entry, scratch] = fronts;
        entry.clear();
        scratch.clear();
        if (before === undefined) entry.offer(start, 0, 0);
        else
          before.forEach((exits, p) => {
            const join = pair(b - 1, p, c);
            if (join >= FORBIDDEN) return;
            exits.states.forEach((s, k) => entry.offer(s, (exits.costs[k] as number) + join, (p << 14) | s));
          });
        prune(entry, problem);
        // What leaves the bar remembers the state that entered it.
        return serve(problem, candidate, entry, scratch);
      }),
    );
  }
  let best: { cost: number; c: number; k: number } | null = null;
  (trail.at(-1) ?? []).forEach((exits, c) =>
    exits.states.forEach((s, k) => {
      const cost = (exits.costs[k] as number) + moveCost(s, end, weights);
      if (best === null || cost < best.cost) best = { cost, c, k };
    }),
  );
  if (best === null) return null;
  const { cost, c, k } = best as { cost: number; c: number; k: number };
  const choice: number[] = [];
  let [at, index] = [c, k];
  for (let b = bars.length - 1; b >= 0; b--) {
    choice.unshift(at);
    const from = ((trail[b] as Exits[])[at] as Exits).from[index] as number;
    if (b === 0) break;
    at = from >> 14;
    index = ((trail[b - 1] as Exits[])[at] as Exits).states.indexOf(from & 0x3fff);
  }
  return { choice, cost };
}
