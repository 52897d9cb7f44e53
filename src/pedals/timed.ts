/** The timed problem, exactly: labels of setting, price and each foot's next free instant, bounded by the untimed plan. */

import { SETTING_COUNT, type Setting } from '../harp/setting';
import type { Clock } from './clock';
import type { Option, Span, Stop } from './demand-types';
import { motionsOf } from './motions';
import { type Node, nodesFrom, nodesOf, wantedPositions } from './nodes';
import { ALL_FREE, DIGITS, POW3, type Partial7, partialDigit } from './tables';
import type { Backward, UntimedWeights } from './untimed';

/** A label in the making: some of the moves between two nodes are chosen. */
interface State {
  readonly setting: Setting;
  readonly price: number;
  readonly left: number;
  readonly right: number;
  /** Pedals moved, as bits. */
  readonly moved: number;
}

interface Label {
  readonly setting: Setting;
  readonly price: number;
  /** First instant at which each foot may move again. */
  readonly left: number;
  readonly right: number;
  /** The option of the last stop served, null before the first. */
  readonly option: Option | null;
  readonly parent: Label | null;
}

export interface TimedTask {
  readonly stops: readonly Stop[];
  readonly back: Backward;
  readonly weights: UntimedWeights;
  readonly start: Setting | null;
  /** Where pedals stand that nothing needs, when the start is free. */
  readonly near: Setting;
  readonly end: Partial7;
  readonly begin: number;
  readonly finish: number;
  readonly clock: Clock;
  /** Least microseconds between two instants of one foot. */
  readonly gap: number;
  /** Emergency moves allowed. */
  readonly emergencies: boolean;
  /** Plans dearer than this are not looked for. */
  readonly ceiling: number;
  /** At most this many labels are made. */
  readonly workLimit: number;
  /** Proven additions to the bound, by stop index. */
  readonly raises?: Float64Array;
  /**
   * Begin before this stop instead, from every setting, with idle feet, and count only what a plan pays beyond the
   * bound: the ceiling is then on that excess. No plan pays less from there on.
   */
  readonly from?: number;
  /** Keep only this many labels at a node, the most promising. */
  readonly beam?: number;
}

export type TimedAnswer =
  | {
      /** `some` where a beam left out labels: a plan, perhaps not the cheapest. */
      readonly kind: 'found' | 'some';
      readonly start: Setting;
      readonly options: readonly Option[];
      readonly price: number;
      readonly labels: number;
    }
  /** No plan within the ceiling; `reached` stops could be served. */
  | { readonly kind: 'none'; readonly reached: number; readonly labels: number }
  | { readonly kind: 'limit'; readonly reached: number; readonly labels: number };

/** Pedals that a partial setting fixes, as bits. */
function fixedPedals(p: Partial7): number {
  let bits = 0;
  for (let k = 0; k < 7; k++) if (partialDigit(p, k) !== 3) bits |= 1 << k;
  return bits;
}

/**
 * Looks for the cheapest plan within the ceiling. Every plan can be shifted to the left, each foot keeping its
 * order, until each move lies at its release or one gap after its foot's last: only such plans are looked at.
 * A label gives way to another of the same setting that is no dearer and whose feet are free no later.
 */
export function solveTimed(task: TimedTask): TimedAnswer {
  const { stops, back, clock, gap, ceiling, weights, raises } = task;
  const origin = task.from ?? 0;
  const every = nodesOf(stops, task.begin);
  const nodes = origin === 0 ? every : nodesFrom(every, origin);
  let labels = 0;
  let reached = origin;
  const bound = (index: number, setting: Setting): number => {
    return back.rest(index, setting) + (raises?.[index] ?? 0);
  };
  /** Later than when the stop before was struck: some of what a raise counts may be paid. */
  const paying = (index: number, setting: Setting): number =>
    back.rest(index, setting) + (raises?.[index + 1] ?? 0);
  const waysOfSpan = (option: Option | null, span: Span): Partial7 => {
    const stop = option === null ? undefined : stopOf.get(option);
    const index = stop === undefined ? -1 : stop.findIndex((s) => s.id === span.id);
    return index < 0 ? ALL_FREE : ((option as Option).spanWays[index]?.needs ?? ALL_FREE);
  };
  const stopOf = new Map<Option, readonly Span[]>();
  for (const stop of stops)
    if (stop.spans.length > 0) for (const o of stop.options) stopOf.set(o, stop.spans);

  /** When a foot is free again after so many motions from a tick on; null where the last would be too late. */
  const freeAfter = (from: number, motions: number, due: number, was: number): number | null => {
    let [at, free] = [from, was];
    for (let i = 0; i < motions; i++) {
      if (at > due) return null;
      at = free = clock.after(at, gap);
    }
    return free;
  };
  const wanted = wantedPositions(stops, task.end);
  let current: Label[] = [];
  const initial = (setting: Setting): void => {
    if (bound(0, setting) > ceiling) return;
    current.push({ setting, price: 0, left: -1, right: -1, option: null, parent: null });
    labels++;
  };
  if (origin > 0) {
    for (const setting of back.space.settings) {
      const rest = bound(origin, setting);
      if (!Number.isFinite(rest)) continue;
      current.push({ setting, price: -rest, left: -1, right: -1, option: null, parent: null });
    }
    labels += current.length;
  } else if (task.start !== null) initial(task.start);
  else
    for (let s = 0; s < SETTING_COUNT; s++)
      if (startsUseful(s, wanted[0] as Uint8Array, task.near)) initial(s);

  for (let n = 0; n < nodes.length; n++) {
    const node = nodes[n] as Node;
    const next = nodes[n + 1];
    const due = next?.at ?? Math.max(task.finish, node.release);
    const kept = new Map<number, Label[]>();
    const offer = (label: Label, mask: number): void => {
      labels++;
      const key = label.setting + SETTING_COUNT * mask;
      const list = kept.get(key);
      if (list === undefined) {
        kept.set(key, [label]);
        return;
      }
      for (const other of list) {
        if (other.price <= label.price && other.left <= label.left && other.right <= label.right) return;
      }
      const rest = list.filter(
        (other) => !(label.price <= other.price && label.left <= other.left && label.right <= other.right),
      );
      rest.push(label);
      kept.set(key, rest);
    };
    const serve = (from: Label, { setting, price, left, right }: State): void => {
      const idle = next === undefined ? -1 : next.release;
      const [l, r] = [left < idle ? -1 : left, right < idle ? -1 : right];
      if (next === undefined) {
        if (satisfies(setting, task.end))
          offer({ setting, price, left: -1, right: -1, option: from.option, parent: from }, 0);
        return;
      }
      if (next.stop < 0) {
        if (price + paying(next.next, setting) <= ceiling) {
          offer(
            { setting, price, left: l, right: r, option: from.option, parent: from },
            lockOf(from.option, next.sounding),
          );
        }
        return;
      }
      const stop = stops[next.stop] as Stop;
      for (const option of stop.options) {
        if (!satisfies(setting, option.needs)) continue;
        const total = price + option.price * weights.spelling;
        if (total + bound(next.next, setting) > ceiling) continue;
        if (
          stop.spans.some(
            (s, k) =>
              s.onset < stop.onset &&
              from.option !== null &&
              waysOfSpan(from.option, s) !== option.spanWays[k]?.needs,
          )
        )
          continue;
        offer({ setting, price: total, left: l, right: r, option, parent: from }, lockOf(option, stop.spans));
      }
    };
    const lockOf = (option: Option | null, sounding: readonly Span[]): number => {
      let bits = 0;
      for (const span of sounding) bits |= fixedPedals(waysOfSpan(option, span));
      return bits;
    };
    // With emergencies: any set of pedals, in each way that its motions can be shared between the feet.
    const helped = (label: Label, locked: number, state: State, first: number): void => {
      const useful = wanted[node.next] as Uint8Array;
      for (const [l, r] of motionsOf(state.moved, true)) {
        const left = freeAfter(Math.max(node.release, label.left), l, due, label.left);
        const right = freeAfter(Math.max(node.release, label.right), r, due, label.right);
        if (left !== null && right !== null) serve(label, { ...state, left, right });
      }
      for (let k = first; k < 7; k++) {
        const have = DIGITS[7 * state.setting + k] as number;
        for (let to = 0; to < 3; to++) {
          if (to === have || locked & (1 << k) || !((useful[k] as number) & (1 << to))) continue;
          const setting = state.setting + (to - have) * (POW3[k] as number);
          const price = state.price + weights.move + (Math.abs(to - have) - 1) * weights.second;
          if (price + paying(node.next, setting) > ceiling) continue;
          helped(label, locked, { ...state, setting, price, moved: state.moved | (1 << k) }, k + 1);
        }
      }
    };
    for (const label of current) {
      if (labels > task.workLimit) return { kind: 'limit', reached, labels };
      const locked = lockOf(label.option, node.sounding);
      let fresh = 0;
      if (node.stop >= 0) fresh = fixedPedals((label.option as Option).struck.needs);
      else if (n === 0) fresh = origin === 0 && task.start === null ? 0 : 127;
      for (const span of node.ended) fresh |= fixedPedals(waysOfSpan(label.option, span));
      // Sets of moves of the left foot, then of the right, one gap apart. A foot that has been idle begins with a
      // pedal that is free only now: any other would have moved before.
      const useful = wanted[node.next] as Uint8Array;
      const extend = (foot: 0 | 1, first: number, state: State, allowed: boolean): void => {
        if (allowed && foot === 1) serve(label, state);
        if (allowed && foot === 0) extend(1, 3, state, true);
        const at = Math.max(node.release, foot === 0 ? state.left : state.right);
        if (at > due) return;
        const chained = (foot === 0 ? label.left : label.right) >= node.release;
        const begun = (state.moved & (foot === 0 ? 7 : 120)) !== 0;
        let after = -1;
        for (let k = first; k < (foot === 0 ? 3 : 7); k++) {
          const bit = 1 << k;
          if (locked & bit) continue;
          const have = DIGITS[7 * state.setting + k] as number;
          for (let to = 0; to < 3; to++) {
            if (to === have || !((useful[k] as number) & (1 << to))) continue;
            const setting = state.setting + (to - have) * (POW3[k] as number);
            const price = state.price + weights.move + (Math.abs(to - have) - 1) * weights.second;
            if (price + paying(node.next, setting) > ceiling) continue;
            if (after < 0) after = clock.after(at, gap);
            const isFresh = (fresh & bit) !== 0;
            const moved = state.moved | bit;
            const [left, right] = foot === 0 ? [after, state.right] : [state.left, after];
            extend(
              foot,
              k + 1,
              { setting, price, left, right, moved },
              chained || isFresh || (begun && allowed),
            );
          }
        }
      };
      const { setting, price, left, right } = label;
      if (task.emergencies) helped(label, locked, { setting, price, left, right, moved: 0 }, 0);
      else extend(0, 0, { setting, price, left, right, moved: 0 }, true);
    }
    const list = [...kept.values()].flat();
    if (list.length === 0) return { kind: 'none', reached, labels };
    if (next !== undefined && next.stop >= 0) reached = next.stop + 1;
    current =
      task.beam === undefined || list.length <= task.beam
        ? list
        : promising(list, task.beam, (l) => l.price + bound(next?.next ?? stops.length, l.setting));
  }
  const best = current.reduce((a, b) => (b.price < a.price ? b : a));
  return { kind: 'found', ...readBack(best, nodes), price: best.price, labels };
}

/** A free start stands where it is first needed; pedals never needed stand as in `near`. */
function startsUseful(setting: Setting, wanted: Uint8Array, near: Setting): boolean {
  for (let k = 0; k < 7; k++) {
    if (
      !(
        ((wanted[k] as number) || 1 << (DIGITS[7 * near + k] as number)) &
        (1 << (DIGITS[7 * setting + k] as number))
      )
    )
      return false;
  }
  return true;
}

function promising(labels: readonly Label[], count: number, value: (label: Label) => number): Label[] {
  const valued = labels.map((label) => ({ label, value: value(label) }));
  return valued
    .sort((a, b) => a.value - b.value)
    .slice(0, count)
    .map((v) => v.label);
}

function satisfies(setting: Setting, needs: Partial7): boolean {
  for (let k = 0; k < 7; k++) {
    const want = partialDigit(needs, k);
    if (want !== 3 && want !== DIGITS[7 * setting + k]) return false;
  }
  return true;
}

function readBack(last: Label, nodes: readonly Node[]): { start: Setting; options: Option[] } {
  const path: Label[] = [];
  for (let label: Label | null = last; label !== null; label = label.parent) path.push(label);
  path.reverse();
  const options = path.flatMap((label, i) => ((nodes[i]?.stop ?? -1) >= 0 ? [label.option as Option] : []));
  return { start: (path[0] as Label).setting, options };
}
