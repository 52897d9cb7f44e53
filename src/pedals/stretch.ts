/** Between two nodes of the label search: every set of moves that may be worth making, at every instant that matters. */

import { SETTING_COUNT } from '../harp/setting';
import type { Clock } from './clock';
import type { Feet } from './feet';
import type { Instants } from './instants';
import type { Action, Choices, Limits, State, Stretch } from './stretch-types';
import { DIGITS, POW3 } from './tables';

/** Pedals of each foot; with emergencies the left also reaches E and the right B. */
const FOOT_PEDALS = [
  [0, 1, 2],
  [3, 4, 5, 6],
] as const;
const EMERGENCY_PEDALS = [
  [0, 1, 2, 3],
  [2, 3, 4, 5, 6],
] as const;

/**
 * Makes moves from the seeds on, and shows each state that no other has all the freedom of for less.
 * Shift any plan's moves to the left, moves of one instant together, as long as no term rises: each then lies at the
 * stretch's release or the tick after it, where some cost of its own pedals falls, or at the least, a comfortable or
 * the reach's time after the last move of its own foot; and where an earlier such tick costs no more, it is shifted
 * there. Only what remains is tried, the most promising first. Answers the number of states met, and whether they were
 * more than `limit`; after `burst` the rest is left out where `overlook`, told its least total, agrees.
 */
export function spread<L>(
  seeds: readonly State<L>[],
  stretch: Stretch,
  instants: Instants,
  clock: Clock,
  feet: Feet,
  emergencies: boolean,
  { limit, burst, overlook }: Limits,
  show: (state: State<L>) => void,
): { readonly states: number; readonly spent: boolean } {
  const { at: nodeAt, release, until, useful, rest, within } = stretch;
  const { move: moveRate, gesture, emergency } = feet.rates;
  const pedalsOf = emergencies ? EMERGENCY_PEDALS : FOOT_PEDALS;
  const known: (Choices | undefined)[] = [];
  const costAt = (k: number, from: number, to: number, at: number, fresh: number): number =>
    instants.cost(k, from, to, at, at === nodeAt && (fresh & (1 << k)) !== 0);
  const choicesOf = (k: number, from: number, to: number, fresh: number): Choices => {
    const slot = 18 * k + 6 * from + 2 * to + ((fresh >> k) & 1);
    const found = known[slot];
    if (found !== undefined) return found;
    const ticks = [release];
    const points = [costAt(k, from, to, release, fresh)];
    const add = (at: number): void => {
      if (at > until || at === ticks.at(-1)) return;
      ticks.push(at);
      points.push(costAt(k, from, to, at, fresh));
    };
    // A note struck here that might have waited for the move no longer does from the next tick on.
    if (release < until) {
      const later = instants.cost(k, from, to, release, true);
      // So does the pedal that one foot moved at that instant and the other moves on.
      if (emergencies || instants.cost(k, from, to, release, false) > later) add(release + 1);
    }
    for (const at of instants.drops(k, from, release, until)) add(at);
    const made = { ticks, points, least: Math.min(...points) };
    known[slot] = made;
    return made;
  };

  let states = 0;
  const met = new Map<number, State<L>[]>();
  const heap: State<L>[] = [];
  // A narrow look goes on with what has most of its moves behind it.
  const eager = burst < Number.MAX_SAFE_INTEGER;
  const sooner = (a: State<L>, b: State<L>): boolean => {
    const apart = eager ? 5 * (a.total - b.total) - (a.price - b.price) : a.total - b.total;
    return apart < 0 || (apart === 0 && a.now < b.now);
  };
  const push = (state: State<L>): void => {
    let i = heap.length;
    heap.push(state);
    while (i > 0) {
      const up = (i - 1) >> 1;
      if (!sooner(state, heap[up] as State<L>)) break;
      heap[i] = heap[up] as State<L>;
      i = up;
    }
    heap[i] = state;
  };
  const pop = (): State<L> => {
    const top = heap[0] as State<L>;
    const last = heap.pop() as State<L>;
    const length = heap.length;
    if (length === 0) return top;
    let i = 0;
    for (;;) {
      let down = 2 * i + 1;
      if (down >= length) break;
      if (down + 1 < length && sooner(heap[down + 1] as State<L>, heap[down] as State<L>)) down++;
      if (!sooner(heap[down] as State<L>, last)) break;
      heap[i] = heap[down] as State<L>;
      i = down;
    }
    heap[i] = last;
    return top;
  };
  const novel = (state: State<L>): boolean => {
    const key = state.setting + SETTING_COUNT * state.lock;
    const list = met.get(key);
    if (list === undefined) {
      met.set(key, [state]);
      return true;
    }
    for (const other of list)
      if (other.now <= state.now && feet.dominates(other, state, state.micros, state.now < 0)) return false;
    let length = 0;
    for (const other of list) {
      if (state.now <= other.now && feet.dominates(state, other, other.micros, other.now < 0))
        other.dead = true;
      else list[length++] = other;
    }
    list.length = length;
    list.push(state);
    return true;
  };

  /** The instants of one foot's action, merged with those from which its foot asks less. */
  const actionOf = (state: State<L>, foot: 0 | 1, pedals: Action['pedals']): Action => {
    const was = foot === 0 ? state.left : state.right;
    let extra = 0;
    let [change, bits] = [0, 0];
    pedals.forEach(([k, from, to], i) => {
      if (k < 3 !== (foot === 0)) extra += emergency;
      if (i > 0) extra += emergency;
      change += (to - from) * (POW3[k] as number);
      bits |= 1 << k;
    });
    const [first, from, to] = pedals[0] as (typeof pedals)[number];
    const base = choicesOf(first, from, to, state.fresh);
    const last = (pedals.at(-1) as (typeof pedals)[number])[0];
    if (was.pedal < 0 && pedals.length === 1 && extra === 0)
      return { pedals, ticks: base.ticks, points: base.points, least: base.least, change, bits, last };
    let all = base.ticks;
    for (let i = 1; i < pedals.length; i++) {
      const [k, a, b] = pedals[i] as (typeof pedals)[number];
      all = union(all, choicesOf(k, a, b, state.fresh).ticks, release, until);
    }
    if (was.pedal >= 0) {
      was.easier ??= feet.comforts.map((t) => clock.after(was.at, t));
      all = union(all, was.easier, release, until);
    }
    const points: number[] = [];
    let least = Number.POSITIVE_INFINITY;
    for (const at of all) {
      const value = pointsOf(state, foot, pedals, at);
      if (value < least) least = value;
      points.push(value);
    }
    return { pedals, ticks: all, points, least, change, bits, last };
  };
  const pointsOf = (state: State<L>, foot: 0 | 1, pedals: Action['pedals'], at: number): number => {
    const was = foot === 0 ? state.left : state.right;
    const [first, from, to] = pedals[0] as (typeof pedals)[number];
    let value = feet.cost(was, first, Math.abs(to - from), was.pedal < 0 ? 0 : clock.microsAt(at));
    for (let i = 0; i < pedals.length; i++) {
      const [k, a, b] = pedals[i] as (typeof pedals)[number];
      if (k < 3 !== (foot === 0)) value += emergency;
      if (i > 0) value += emergency;
      value += costAt(k, a, b, at, state.fresh);
    }
    return value;
  };
  const move = (
    state: State<L>,
    l: Action | null,
    r: Action | null,
    at: number,
    price: number,
    total: number,
  ): void => {
    states++;
    const micros = clock.microsAt(at);
    let { steps } = state;
    for (const action of [l, r]) {
      if (action === null) continue;
      for (const [pedal, from, to] of action.pedals)
        steps = { pedal, from, to, at, foot: action === l ? 0 : 1, before: steps };
    }
    const next: State<L> = {
      label: state.label,
      option: state.option,
      setting: state.setting + (l?.change ?? 0) + (r?.change ?? 0),
      price,
      left: l === null ? state.left : { pedal: l.last, at, micros, bits: settling(l, at) },
      right: r === null ? state.right : { pedal: r.last, at, micros, bits: settling(r, at) },
      steps,
      total,
      now: at,
      micros,
      moved: state.moved | (l?.bits ?? 0) | (r?.bits ?? 0),
      lock: state.lock,
      fresh: state.fresh,
      just: state.just,
      dead: false,
    };
    if (novel(next)) push(next);
  };

  const settling = ({ pedals, bits }: Action, at: number): number =>
    feet.settle === 0
      ? 0
      : pedals.reduce((sum, [k, , to]) => (instants.slides(k, to, at) ? sum & ~(1 << k) : sum), bits);

  /** What each foot may do after a state; null where nothing is worth it. */
  const actionsOf = (state: State<L>): readonly [Action[], Action[]] | null => {
    if (state.now >= until) return null;
    const { setting, price, fresh } = state;
    const shut = state.lock | state.moved;
    let sides: [Action[], Action[]] | null = null;
    for (let k = 0; k < 7; k++) {
      const open = useful[k] as number;
      if (open === 0 || shut & (1 << k)) continue;
      const have = DIGITS[7 * setting + k] as number;
      for (let to = 0; to < 3; to++) {
        if (to === have || !(open & (1 << to))) continue;
        // Its gesture may be shared with a move of the other foot, for which the rest still counts one.
        const after = price + rest(setting + (to - have) * (POW3[k] as number));
        if (!within(after + moveRate)) continue;
        if (!within(after + choicesOf(k, have, to, fresh).least)) continue;
        sides ??= [[], []];
        for (const foot of [0, 1] as const)
          if ((pedalsOf[foot] as readonly number[]).includes(k))
            sides[foot].push(actionOf(state, foot, [[k, have, to]]));
      }
    }
    if (sides !== null && emergencies) doubles(state, sides);
    return sides;
  };

  for (const seed of seeds) {
    if (!novel(seed)) continue;
    states++;
    show(seed);
    push(seed);
  }
  while (heap.length > 0) {
    const state = pop();
    if (state.dead) continue;
    if (!within(state.total)) continue;
    if (state.now >= 0) show(state);
    if (states > limit) return { states, spent: true };
    if (states > burst && overlook(heap.reduce((least, s) => Math.min(least, s.total), state.total))) break;
    const sides = actionsOf(state);
    if (sides === null) continue;
    const { setting, price } = state;
    for (let side = 0; side < 2; side++) {
      for (const action of sides[side] as Action[]) {
        const after = rest(setting + action.change);
        let best = Number.POSITIVE_INFINITY;
        for (let i = 0; i < action.ticks.length; i++) {
          const value = action.points[i] as number;
          const at = action.ticks[i] as number;
          if (value >= best || (at === nodeAt && action.bits & state.just)) continue;
          best = value;
          const total = price + value + gesture;
          if (at <= state.now || !within(total + after)) continue;
          if (side === 0) move(state, action, null, at, total, total + after);
          else move(state, null, action, at, total, total + after);
        }
      }
    }
    for (const l of sides[0]) {
      for (const r of sides[1]) {
        if (l.bits & r.bits) continue;
        const after = rest(setting + l.change + r.change) + price + gesture;
        if (!within(after + l.least + r.least)) continue;
        let best = Number.POSITIVE_INFINITY;
        let [i, j] = [0, 0];
        while (i < l.ticks.length || j < r.ticks.length) {
          const [a, b] = [l.ticks[i] ?? Infinity, r.ticks[j] ?? Infinity];
          const at = Math.min(a, b);
          const x = a === at ? (l.points[i++] as number) : pointsOf(state, 0, l.pedals, at);
          const y = b === at ? (r.points[j++] as number) : pointsOf(state, 1, r.pedals, at);
          if (x + y >= best || (at === nodeAt && (l.bits | r.bits) & state.just)) continue;
          best = x + y;
          if (at > state.now && within(after + best))
            move(state, l, r, at, price + best + gesture, after + best);
        }
      }
    }
  }
  return { states, spent: false };

  /** Two neighbouring pedals by their own foot in one motion. */
  function doubles(state: State<L>, sides: readonly [Action[], Action[]]): void {
    for (const foot of [0, 1] as const) {
      const own = sides[foot].filter((x) => x.last < 3 === (foot === 0));
      for (const a of own)
        for (const b of own)
          if (b.last === a.last + 1) sides[foot].push(actionOf(state, foot, [...a.pedals, ...b.pedals]));
    }
  }
}

/** Two ascending lists as one, within two ticks. */
function union(a: readonly number[], b: readonly number[], from: number, until: number): number[] {
  const out: number[] = [];
  let [i, j] = [0, 0];
  while (i < a.length || j < b.length) {
    const [x, y] = [a[i] ?? Infinity, b[j] ?? Infinity];
    const at = Math.min(x, y);
    if (x === at) i++;
    if (y === at) j++;
    if (at >= from && at <= until && at !== out.at(-1)) out.push(at);
  }
  return out;
}
