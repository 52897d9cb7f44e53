/** The whole price, exactly: labels of setting, price and both feet run from stop to stop, with every instant that matters. */

import { SETTING_COUNT, type Setting } from '../harp/setting';
import type { Bound } from './bound';
import type { Clock } from './clock';
import type { Option, Span, Stop } from './demand-types';
import type { Instants } from './instants';
import type { Node } from './nodes';
import { flipPrice } from './reading';
import { type Feet, IDLE } from './feet';
import { type Label, type LabelPlan, readBack } from './label-plan';
import { spread } from './stretch';
import type { State, Step } from './stretch-types';
import { ALL_FREE, DIGITS, type Partial7, partialDigit } from './tables';

export interface LabelTask {
  readonly stops: readonly Stop[];
  /** The nodes of these stops (nodes.ts), how they hang together, and the positions worth moving to. */
  readonly nodes: readonly Node[];
  readonly links: Links;
  readonly wanted: readonly Uint8Array[];
  readonly bound: Bound;
  readonly start: Setting | null;
  readonly near: Setting;
  readonly end: Partial7;
  readonly finish: number;
  readonly clock: Clock;
  readonly feet: Feet;
  readonly instants: Instants;
  /** Emergency moves allowed. */
  readonly emergencies: boolean;
  /** Only plans cheaper than this are looked for. */
  readonly ceiling: number;
  /** Labels farther above the most promising of a node than this are left out. */
  readonly width: number;
  /** Labels kept at a node, the most promising. */
  readonly beam: number;
  /** States met between two nodes before the rest is left out. */
  readonly burst: number;
  /** At most this many labels are made. */
  readonly workLimit: number;
  /** Proven additions to the bound, by stop index. */
  readonly raises?: Float64Array | undefined;
  /**
   * Only from before one stop until another was served: from every setting, with idle feet. Prices are then what is
   * paid beyond the bound, and so is the ceiling.
   */
  readonly between?: readonly [from: number, until: number];
}

/** `floor`: no plan cheaper than the ceiling was overlooked that costs less than this. */
export interface LabelAnswer {
  /** Of a stretch only, what is found is told by `least`. */
  readonly plan: LabelPlan | null;
  /** The least price found; Infinity where none is below the ceiling. */
  readonly least: number;
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

/** How stops and nodes hang together, whatever the search. */
export interface Links {
  /** The number of the node at which each stop is served. */
  readonly nodeOf: readonly number[];
  /** How an option holds a span. */
  wayOf(option: Option | null, span: Span): Partial7;
  /** The pedals held while spans sound, as bits. */
  lockOf(option: Option | null, sounding: readonly Span[]): number;
  /** Points for letters that change from one option to the next. */
  flipOf(a: Option | null, b: Option): number;
}

export function linksOf(stops: readonly Stop[], nodes: readonly Node[], flip: number): Links {
  const nodeOf: number[] = [];
  nodes.forEach((node, n) => {
    if (node.stop >= 0) nodeOf[node.stop] = n;
  });
  const spansOf = new Map<Option, readonly Span[]>();
  for (const stop of stops)
    if (stop.spans.length > 0) for (const o of stop.options) spansOf.set(o, stop.spans);
  const wayOf = (option: Option | null, span: Span): Partial7 => {
    const index = option === null ? -1 : (spansOf.get(option) ?? []).findIndex((s) => s.id === span.id);
    return index < 0 ? ALL_FREE : ((option as Option).spanWays[index]?.needs ?? ALL_FREE);
  };
  const flips = new Map<Option['struck'], Map<Option['struck'], number>>();
  return {
    nodeOf,
    wayOf,
    lockOf: (option, sounding) => {
      let bits = 0;
      for (const span of sounding) bits |= fixedPedals(wayOf(option, span));
      return bits;
    },
    flipOf: (a, b) => {
      if (a === null || a.struck.letters.size === 0 || b.struck.letters.size === 0) return 0;
      let row = flips.get(a.struck);
      if (row === undefined) flips.set(a.struck, (row = new Map()));
      let found = row.get(b.struck);
      if (found === undefined)
        row.set(b.struck, (found = flipPrice(a.struck.letters, b.struck.letters, flip)));
      return found;
    },
  };
}

/** Settings with which a free start or a stretch may begin. */
function beginnings(task: LabelTask): Setting[] {
  const [from] = task.between ?? [0];
  if (from > 0) {
    const before = task.stops[from - 1] as Stop;
    return [...task.bound.settings(from)].filter((s) => before.options.some((o) => satisfies(s, o.needs)));
  }
  if (task.start !== null) return [task.start];
  const first = task.wanted[0] as Uint8Array;
  const out: Setting[] = [];
  for (let s = 0; s < SETTING_COUNT; s++) {
    let useful = true;
    for (let k = 0; k < 7 && useful; k++) {
      const may = (first[k] as number) || 1 << (DIGITS[7 * task.near + k] as number);
      useful = (may & (1 << (DIGITS[7 * s + k] as number))) !== 0;
    }
    if (useful) out.push(s);
  }
  return out;
}

/** The nodes from before one stop to the one after another was served. What sounds where they begin is left out. */
function nodesBetween({ nodes, stops, links }: LabelTask, from: number, last: number): Node[] {
  const { nodeOf } = links;
  const until = last === stops.length ? nodes.length : (nodeOf[last - 1] as number) + 2;
  if (from === 0) return nodes.slice(0, until);
  const before = nodes[nodeOf[from - 1] as number] as Node;
  return [{ ...before, stop: -1, ended: [], sounding: [] }, ...nodes.slice(nodeOf[from], until)];
}

/**
 * Looks for the cheapest plan below the ceiling. A label gives way to another of its setting that is cheaper by all
 * that its feet and flips could save.
 */
export function solveLabels(task: LabelTask): LabelAnswer {
  const { stops, bound, clock, feet, instants, ceiling, raises } = task;
  const [from, last] = task.between ?? [0, stops.length];
  const { wayOf, lockOf, flipOf } = task.links;
  const nodes = task.between === undefined ? task.nodes : nodesBetween(task, from, last);
  // A raise counts from the very instant at which the stop before its index was struck: later, some may be paid.
  const restOf = (index: number, paying: boolean): ((setting: Setting) => number) => {
    const more = raises?.[paying ? index + 1 : index] ?? 0;
    return more === 0
      ? (setting) => bound.rest(index, setting)
      : (setting) => bound.rest(index, setting) + more;
  };

  // What was struck where a stretch begins is left open: at most every pedal.
  const unknown = from === 0 ? 0 : EVERY_PEDAL;

  let labels = 0;
  let floor = Number.POSITIVE_INFINITY;
  const overlook = (total: number): void => {
    if (total < floor) floor = total;
  };
  let current: Label[] = [];
  for (const setting of beginnings(task)) {
    const rest = restOf(from, false)(setting);
    const price = task.between === undefined ? 0 : -rest;
    const total = price + rest;
    if (!(total < ceiling)) continue;
    current.push({ setting, price, left: IDLE, right: IDLE, option: null, steps: null, parent: null, total });
  }
  const narrow = (list: Label[]): Label[] => {
    if (list.length <= task.beam) return list;
    list.sort((a, b) => a.total - b.total);
    overlook((list[task.beam] as Label).total);
    return list.slice(0, task.beam);
  };
  const ends = (
    why: Pick<LabelAnswer, 'spent'>,
    plan: LabelPlan | null = null,
    least = Infinity,
  ): LabelAnswer => ({
    ...{ plan, least, floor, labels },
    ...why,
  });
  current = narrow(current);

  for (let n = 0; n < nodes.length; n++) {
    const node = nodes[n] as Node;
    if (task.between !== undefined && node.stop === last - 1 && last < stops.length) {
      return ends({ spent: false }, null, leastOf(current));
    }
    const next = nodes[n + 1];
    const until = next?.at ?? Math.max(task.finish, node.release);
    const untilMicros = clock.microsAt(until);
    const kept = new Map<number, Label[]>();
    // The most that a label may seem to cost once some label is known; what is left out above it is remembered.
    let most = Number.POSITIVE_INFINITY;
    const within = (total: number): boolean => {
      if (!(total < ceiling)) return false;
      if (total <= most) return true;
      overlook(total);
      return false;
    };
    const offer = (label: Label, lock: number): void => {
      labels++;
      if (label.total + task.width < most) most = label.total + task.width;
      const key = label.setting + SETTING_COUNT * lock;
      const list = kept.get(key);
      if (list === undefined) {
        kept.set(key, [label]);
        return;
      }
      for (const other of list) if (feet.dominates(other, label, untilMicros, true)) return;
      let length = 0;
      for (const other of list) if (!feet.dominates(label, other, untilMicros, true)) list[length++] = other;
      list.length = length;
      list.push(label);
    };
    const stop = next === undefined || next.stop < 0 ? null : (stops[next.stop] as Stop);
    const then = next === undefined ? null : restOf(next.next, stop === null);
    const serve = (state: State<Label>): void => {
      const { setting, steps, label: parent, option } = state;
      if (then === null || next === undefined) {
        const { price } = state;
        if (!satisfies(setting, task.end) || price >= ceiling) return;
        offer({ setting, price, left: IDLE, right: IDLE, steps, total: price, option, parent }, 0);
        return;
      }
      const left = feet.rested(state.left, untilMicros);
      const right = feet.rested(state.right, untilMicros);
      const rest = then(setting);
      if (stop === null) {
        const { price } = state;
        if (!within(price + rest)) return;
        offer(
          { setting, price, left, right, option, steps, parent, total: price + rest },
          lockOf(option, next.sounding),
        );
        return;
      }
      const unsettled = feet.unsettled(left, untilMicros) | feet.unsettled(right, untilMicros);
      for (const way of stop.options) {
        if (!satisfies(setting, way.needs)) continue;
        if (unsettled !== 0 && unsettled & fixedPedals(way.needs)) continue;
        const price = state.price + way.price + flipOf(option, way);
        if (!within(price + rest)) continue;
        const breaks = stop.spans.some(
          (s, k) => s.onset < stop.onset && option !== null && wayOf(option, s) !== way.spanWays[k]?.needs,
        );
        if (breaks) continue;
        const lock = stop.spans.length === 0 ? 0 : lockOf(way, stop.spans);
        offer({ setting, price, left, right, option: way, steps, parent, total: price + rest }, lock);
      }
    };
    const seeds: State<Label>[] = [];
    for (const label of current) {
      const { option } = label;
      seeds.push({
        label,
        setting: label.setting,
        price: label.price,
        total: label.total,
        left: label.left,
        right: label.right,
        option,
        steps: null,
        now: -1,
        micros: -1,
        moved: 0,
        lock: node.sounding.length === 0 ? 0 : lockOf(option, node.sounding),
        just: task.emergencies ? movedAt(label.steps, node.at) : 0,
        fresh: option === null ? unknown : node.stop < 0 ? 0 : fixedPedals(option.struck.needs),
        dead: false,
      });
    }
    const useful = task.wanted[node.next] as Uint8Array;
    const rest = restOf(node.next, true);
    const stretch = { at: node.at, release: node.release, until, useful, rest, within };
    const limits = {
      limit: task.workLimit - labels,
      burst: task.burst,
      overlook: (total: number): boolean => {
        if (kept.size > 0) overlook(total);
        return kept.size > 0;
      },
    };
    const done = spread(seeds, stretch, instants, clock, feet, task.emergencies, limits, serve);
    labels += done.states;
    if (done.spent) {
      for (const label of current) overlook(label.total);
      return ends({ spent: true });
    }
    const list: Label[] = [];
    for (const some of kept.values()) for (const label of some) if (within(label.total)) list.push(label);
    if (list.length === 0) return ends({ spent: false });
    current = narrow(list);
  }
  const best = current.reduce((a, b) => (b.price < a.price ? b : a));
  return ends(
    { spent: false },
    task.between === undefined ? readBack(best, nodes, raises) : null,
    best.price,
  );
}

/** Pedals that the last moves, those of one instant, moved; as bits. */
function movedAt(steps: Step | null, at: number): number {
  let bits = 0;
  for (let s = steps; s !== null && s.at === at; s = s.before) bits |= 1 << s.pedal;
  return bits;
}

const leastOf = (labels: readonly Label[]): number =>
  labels.reduce((least, l) => Math.min(least, l.total), Number.POSITIVE_INFINITY);

const EVERY_PEDAL = 127;
