/** The whole price, exactly: labels of setting, price and both feet run from stop to stop, with every instant that matters. */

import { type Foot, PEDALS, SETTING_COUNT, type Setting } from '../harp/setting';
import type { Move } from '../harp/planned';
import type { Position } from '../harp/setting';
import type { Letter } from '../music/pitch';
import type { Bound } from './bound';
import type { Clock } from './clock';
import type { Option, Span, Stop } from './demands';
import { comfortableTime, leastTime } from './foot-times';
import type { Instants } from './instants';
import { type Node, nodesOf, wantedPositions } from './nodes';
import { POINTS, REACH_WITHIN } from './rates';
import { flipPrice } from './reading';
import { ALL_FREE, DIGITS, POW3, type Partial7, partialDigit } from './tables';
import type { FootTimes } from './types';

/** A foot's last move: its pedal (-1 where it no longer matters) and tick. */
interface FootState {
  readonly pedal: number;
  readonly at: number;
  readonly micros: number;
  /** Ticks from which less is asked of its next move; found when first asked for. */
  easier?: readonly number[];
}
const IDLE: FootState = { pedal: -1, at: -1, micros: Number.NEGATIVE_INFINITY };

/** Moves in a chain, the last first. */
interface Step {
  readonly pedal: number;
  readonly from: number;
  readonly to: number;
  readonly at: number;
  readonly foot: 0 | 1;
  readonly before: Step | null;
}

interface Label {
  readonly setting: Setting;
  readonly price: number;
  readonly left: FootState;
  readonly right: FootState;
  readonly option: Option | null;
  readonly steps: Step | null;
  readonly parent: Label | null;
  /** Price and bound of the rest. */
  readonly total: number;
}

/** What is compared when one label gives way to another. */
type Reached = Pick<Label, 'price' | 'left' | 'right' | 'option'>;
type State = Pick<Label, 'setting' | 'price' | 'left' | 'right' | 'steps'> & { readonly now: number };

export interface LabelTask {
  readonly stops: readonly Stop[];
  readonly bound: Bound;
  readonly start: Setting | null;
  readonly near: Setting;
  readonly end: Partial7;
  readonly begin: number;
  readonly finish: number;
  readonly clock: Clock;
  readonly times: FootTimes;
  readonly instants: Instants;
  /** Emergency moves allowed. */
  readonly emergencies: boolean;
  /** Only plans cheaper than this are looked for. */
  readonly ceiling: number;
  /** States farther above the most promising of a node than this are left out. */
  readonly width: number;
  /** Labels kept at a node, the most promising. */
  readonly beam: number;
  /** At most this many labels are made. */
  readonly workLimit: number;
}

export interface LabelPlan {
  readonly start: Setting;
  readonly options: readonly Option[];
  readonly moves: readonly Move[];
  readonly price: number;
}
/** `floor`: no plan cheaper than the ceiling was overlooked that costs less than this. */
export interface LabelAnswer {
  readonly plan: LabelPlan | null;
  readonly floor: number;
  readonly labels: number;
  readonly spent: boolean;
}

const satisfies = (setting: Setting, needs: Partial7): boolean => {
  for (let k = 0; k < 7; k++) {
    const want = partialDigit(needs, k);
    if (want !== 3 && want !== DIGITS[7 * setting + k]) return false;
  }
  return true;
};

function fixedPedals(p: Partial7): number {
  let bits = 0;
  for (let k = 0; k < 7; k++) if (partialDigit(p, k) !== 3) bits |= 1 << k;
  return bits;
}

const FOOT_PEDALS = [
  [0, 1, 2],
  [3, 4, 5, 6],
] as const;
/** With emergencies the left foot also reaches E and the right B. */
const EMERGENCY_PEDALS = [
  [0, 1, 2, 3],
  [2, 3, 4, 5, 6],
] as const;

/** What one foot does at one instant: one pedal, or two neighbours in an emergency. */
type Action = readonly (readonly [pedal: number, to: number])[];

/** Most that a foot's last move can cost its next: haste, and the longest reach. */
const FOOT_SLACK = POINTS.hasty + 5 * POINTS.reach;

/**
 * Looks for the cheapest plan below the ceiling. Shift any plan's moves to the left, moves of one instant together,
 * as long as no term rises: each then lies at a stop, where some cost of its pedal falls, or at the least, a
 * comfortable or the reach's time after the last move of a foot. Only such instants are tried. A label gives way to
 * another of its setting that is cheaper by all that its feet and flips could save.
 */
export function solveLabels(task: LabelTask): LabelAnswer {
  const { stops, bound, clock, times, instants, ceiling } = task;
  const gap = leastTime(times);
  const comforts = [
    ...new Set([
      gap,
      times.neighbour,
      times.reach,
      times.neighbour + times.secondPosition,
      times.reach + times.secondPosition,
      REACH_WITHIN,
    ]),
  ].filter((t) => t >= gap);
  const horizon = Math.max(...comforts);
  const nodes = nodesOf(stops, task.begin);
  const wanted = wantedPositions(stops, task.end);
  const pedalsOf = task.emergencies ? EMERGENCY_PEDALS : FOOT_PEDALS;
  const spansOf = new Map<Option, readonly Span[]>();
  for (const stop of stops)
    if (stop.spans.length > 0) for (const o of stop.options) spansOf.set(o, stop.spans);
  const wayOf = (option: Option | null, span: Span): Partial7 => {
    const index = option === null ? -1 : (spansOf.get(option) ?? []).findIndex((s) => s.id === span.id);
    return index < 0 ? ALL_FREE : ((option as Option).spanWays[index]?.needs ?? ALL_FREE);
  };
  const lockOf = (option: Option | null, sounding: readonly Span[]): number => {
    let bits = 0;
    for (const span of sounding) bits |= fixedPedals(wayOf(option, span));
    return bits;
  };
  const flips = new Map<Option['struck'], Map<Option['struck'], number>>();
  const flipOf = (a: Option | null, b: Option): number => {
    if (a === null || a.struck.letters.size === 0 || b.struck.letters.size === 0) return 0;
    let row = flips.get(a.struck);
    if (row === undefined) flips.set(a.struck, (row = new Map()));
    let found = row.get(b.struck);
    if (found === undefined) row.set(b.struck, (found = flipPrice(a.struck.letters, b.struck.letters)));
    return found;
  };

  let labels = 0;
  let floor = Number.POSITIVE_INFINITY;
  const overlook = (total: number): void => {
    if (total < floor) floor = total;
  };
  let current: Label[] = [];
  const initial = (setting: Setting): void => {
    const total = bound.rest(0, setting);
    if (!(total < ceiling)) return;
    const feet = { left: IDLE, right: IDLE };
    current.push({ setting, price: 0, ...feet, option: null, steps: null, parent: null, total });
  };
  const first = wanted[0] as Uint8Array;
  if (task.start !== null) initial(task.start);
  else {
    for (let s = 0; s < SETTING_COUNT; s++) {
      let useful = true;
      for (let k = 0; k < 7 && useful; k++) {
        const may = (first[k] as number) || 1 << (DIGITS[7 * task.near + k] as number);
        useful = (may & (1 << (DIGITS[7 * s + k] as number))) !== 0;
      }
      if (useful) initial(s);
    }
  }
  const narrow = (list: Label[]): Label[] => {
    if (list.length <= task.beam) return list;
    list.sort((a, b) => a.total - b.total);
    overlook((list[task.beam] as Label).total);
    return list.slice(0, task.beam);
  };
  current = narrow(current);

  for (let n = 0; n < nodes.length; n++) {
    const node = nodes[n] as Node;
    const next = nodes[n + 1];
    const until = next?.at ?? Math.max(task.finish, node.release);
    const useful = wanted[node.next] as Uint8Array;
    const kept = new Map<number, Label[]>();
    // Costs and instants of this stretch, by pedal and positions.
    const costs = new Map<number, number>();
    const costAt = (k: number, from: number, to: number, at: number, struck: boolean): number => {
      const key = (at - node.release) * 126 + 18 * k + 6 * from + 2 * to + (struck ? 1 : 0);
      let found = costs.get(key);
      if (found === undefined) costs.set(key, (found = instants.cost(k, from, to, at, struck)));
      return found;
    };
    const drops = new Map<number, readonly number[]>();
    const dropsOf = (k: number, from: number): readonly number[] => {
      let found = drops.get(3 * k + from);
      if (found === undefined)
        drops.set(3 * k + from, (found = instants.drops(k, from, node.release, until)));
      return found;
    };
    // The most that a label may seem to cost; what is left out above it is remembered.
    const most =
      current.reduce((least, l) => Math.min(least, l.total), Number.POSITIVE_INFINITY) + task.width;
    const within = (total: number): boolean => {
      if (!(total < ceiling)) return false;
      if (total <= most) return true;
      overlook(total);
      return false;
    };
    /** Whether `a` can do all that `b` can from a tick on, for no more. */
    const dominates = (a: Reached, b: Reached, now: number): boolean => {
      if (a.price > b.price) return false;
      let over =
        a.option?.struck === b.option?.struck ? 0 : POINTS.flip * (a.option?.struck.letters.size ?? 0);
      for (const foot of ['left', 'right'] as const) {
        const [x, y] = [a[foot], b[foot]];
        if (x.pedal < 0) continue;
        if (x.at <= y.at && x.pedal === y.pedal) continue;
        if (x.at > y.at && clock.microsAt(now) - x.micros < gap) return false;
        over += FOOT_SLACK;
      }
      return a.price + over <= b.price;
    };
    const offer = (label: Label, lock: number): void => {
      labels++;
      const key = label.setting + SETTING_COUNT * lock;
      const list = kept.get(key);
      if (list === undefined) {
        kept.set(key, [label]);
        return;
      }
      for (const other of list) if (dominates(other, label, until)) return;
      let length = 0;
      for (const other of list) if (!dominates(label, other, until)) list[length++] = other;
      list.length = length;
      list.push(label);
    };
    const nextMicros = clock.microsAt(until);
    const rested = (foot: FootState): FootState => (nextMicros - foot.micros >= horizon ? IDLE : foot);
    const serve = (parent: Label, state: State): void => {
      const { setting, steps } = state;
      const [left, right] = [rested(state.left), rested(state.right)];
      if (next === undefined) {
        if (!satisfies(setting, task.end) || state.price >= ceiling) return;
        const done = { setting, price: state.price, left: IDLE, right: IDLE, steps, total: state.price };
        offer({ ...done, option: parent.option, parent }, 0);
        return;
      }
      const stop = next.stop < 0 ? null : (stops[next.stop] as Stop);
      if (stop === null) {
        const total = state.price + bound.rest(next.next, setting);
        if (!within(total)) return;
        const label = {
          setting,
          price: state.price,
          left,
          right,
          option: parent.option,
          steps,
          parent,
          total,
        };
        offer(label, lockOf(parent.option, next.sounding));
        return;
      }
      for (const option of stop.options) {
        if (!satisfies(setting, option.needs)) continue;
        const price = state.price + option.price + flipOf(parent.option, option);
        const total = price + bound.rest(next.next, setting);
        if (!within(total)) continue;
        if (
          stop.spans.some(
            (s, k) =>
              s.onset < stop.onset &&
              parent.option !== null &&
              wayOf(parent.option, s) !== option.spanWays[k]?.needs,
          )
        )
          continue;
        offer(
          { setting, price, left, right, option, steps, parent, total },
          stop.spans.length === 0 ? 0 : lockOf(option, stop.spans),
        );
      }
    };
    const footCost = (foot: FootState, k: number, travelled: number, micros: number): number => {
      if (foot.pedal < 0) return 0;
      const since = micros - foot.micros;
      if (since < gap) return -1;
      const apart = Math.abs(k - foot.pedal) - 1;
      const comfort = comfortableTime(times, PEDALS[foot.pedal] as Letter, PEDALS[k] as Letter, travelled);
      return (
        (since < comfort ? POINTS.hasty : 0) + (since < REACH_WITHIN && apart > 0 ? apart * POINTS.reach : 0)
      );
    };
    // States met between these two nodes: one that another has all the freedom of, for less, leads nowhere new.
    const met = new Map<number, (Reached & { readonly now: number })[]>();
    const novel = (parent: Label, state: State, lock: number): boolean => {
      const key = state.setting + SETTING_COUNT * lock;
      const { price, left, right, now } = state;
      const mine = { price, left, right, now, option: parent.option };
      const list = met.get(key);
      if (list === undefined) {
        met.set(key, [mine]);
        return true;
      }
      for (const other of list) if (other.now <= now && dominates(other, mine, now)) return false;
      let length = 0;
      for (const other of list)
        if (!(now <= other.now && dominates(mine, other, other.now))) list[length++] = other;
      list.length = length;
      list.push(mine);
      return true;
    };
    // Pedals of what was struck at this node: they move after it.
    let fresh = 0;
    const extend = (parent: Label, state: State, lock: number): void => {
      if (labels > task.workLimit) return;
      labels++;
      serve(parent, state);
      const { setting } = state;
      const open: [number, number][] = [];
      for (let k = 0; k < 7; k++) {
        if (lock & (1 << k)) continue;
        const have = DIGITS[7 * setting + k] as number;
        for (let to = 0; to < 3; to++) {
          if (to === have || !((useful[k] as number) & (1 << to))) continue;
          const after = setting + (to - have) * (POW3[k] as number);
          const least = POINTS.move + POINTS.gesture / 2 + (Math.abs(to - have) - 1) * POINTS.second;
          if (within(state.price + least + bound.rest(node.next, after))) open.push([k, to]);
        }
      }
      if (open.length === 0) return;
      const ticks = new Set<number>();
      const add = (at: number): void => {
        if (at > state.now && at >= node.release && at <= until) ticks.add(at);
      };
      add(node.release);
      // A note struck here that might have waited for the move no longer does from the next tick on.
      const first = node.release;
      const eased = ([k, to]: readonly [number, number]): boolean => {
        const from = DIGITS[7 * setting + k] as number;
        return costAt(k, from, to, first, false) > costAt(k, from, to, first, true);
      };
      if (state.now <= first && open.some(eased)) add(first + 1);
      for (const [k] of open) for (const at of dropsOf(k, DIGITS[7 * setting + k] as number)) add(at);
      for (const foot of [state.left, state.right])
        if (foot.pedal >= 0)
          for (const at of (foot.easier ??= comforts.map((t) => clock.after(foot.at, t)))) add(at);
      const actions = ([0, 1] as const).map((foot): Action[] => {
        const mine = open.filter(([k]) => (pedalsOf[foot] as readonly number[]).includes(k));
        const out: Action[] = [[], ...mine.map((m): Action => [m])];
        if (task.emergencies)
          for (const a of mine)
            for (const b of mine)
              if (b[0] === a[0] + 1 && a[0] < 3 === (foot === 0) && b[0] < 3 === (foot === 0))
                out.push([a, b]);
        return out;
      }) as [Action[], Action[]];
      for (const at of ticks) {
        const micros = clock.microsAt(at);
        for (const l of actions[0]) {
          const afterLeft = act(state, l, 0, at, micros);
          if (afterLeft === null) continue;
          for (const r of actions[1]) {
            if (l.length + r.length === 0) continue;
            if (task.emergencies && r.some(([k]) => l.some(([j]) => j === k))) continue;
            const done = act(afterLeft, r, 1, at, micros);
            if (done === null) continue;
            const price = done.price + POINTS.gesture;
            if (!within(price + bound.rest(node.next, done.setting))) continue;
            const state = { ...done, price, now: at };
            if (novel(parent, state, lock)) extend(parent, state, lock);
          }
        }
      }
    };
    const act = (state: State, action: Action, foot: 0 | 1, at: number, micros: number): State | null => {
      if (action.length === 0) return state;
      const was = foot === 0 ? state.left : state.right;
      let { setting, price, steps } = state;
      let pedal = -1;
      for (const [k, to] of action) {
        const from = DIGITS[7 * setting + k] as number;
        if (pedal < 0) {
          const cost = footCost(was, k, Math.abs(to - from), micros);
          if (cost < 0) return null;
          price += cost;
        } else price += POINTS.emergency;
        if (k < 3 !== (foot === 0)) price += POINTS.emergency;
        price += costAt(k, from, to, at, at === node.at && (fresh & (1 << k)) !== 0);
        setting += (to - from) * (POW3[k] as number);
        steps = { pedal: k, from, to, at, foot, before: steps };
        pedal = k;
      }
      const now: FootState = { pedal, at, micros };
      const feet = foot === 0 ? { left: now, right: state.right } : { left: state.left, right: now };
      return { setting, price, steps, ...feet, now: state.now };
    };
    for (const label of current) {
      const { setting, price, left, right } = label;
      fresh = node.stop < 0 ? 0 : fixedPedals((label.option as Option).struck.needs);
      extend(
        label,
        { setting, price, left, right, steps: null, now: -1 },
        lockOf(label.option, node.sounding),
      );
    }
    if (labels > task.workLimit) {
      for (const label of current) overlook(label.total);
      return { plan: null, floor, labels, spent: true };
    }
    const list = [...kept.values()].flat();
    if (list.length === 0) return { plan: null, floor, labels, spent: false };
    current = narrow(list);
  }
  const best = current.reduce((a, b) => (b.price < a.price ? b : a));
  return { plan: readBack(best, nodes), floor, labels, spent: false };
}

const FOOT_NAMES: readonly Foot[] = ['left', 'right'];

function readBack(last: Label, nodes: readonly Node[]): LabelPlan {
  const path: Label[] = [];
  for (let label: Label | null = last; label !== null; label = label.parent) path.push(label);
  path.reverse();
  const options: Option[] = [];
  const moves: Move[] = [];
  path.forEach((label, i) => {
    for (let step = label.steps; step !== null; step = step.before) {
      moves.push({
        onset: step.at as Move['onset'],
        letter: PEDALS[step.pedal] as Letter,
        from: (step.from - 1) as Position,
        to: (step.to - 1) as Position,
        foot: FOOT_NAMES[step.foot] as Foot,
      });
    }
    if ((nodes[i]?.stop ?? -1) >= 0) options.push(label.option as Option);
  });
  moves.sort((a, b) => a.onset - b.onset || PEDALS.indexOf(a.letter) - PEDALS.indexOf(b.letter));
  return { start: (path[0] as Label).setting, options, moves, price: last.price };
}
