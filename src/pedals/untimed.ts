/** The untimed problem: the cheapest settings from stop to stop, by backward shortest path over all 2,187. */

import { SETTING_COUNT, type Setting } from '../harp/setting';
import type { Option, Stop, Way } from './demands';
import { ALL_FREE, type ApplicationTable, type MoveWeights, type Partial7, applicationTable } from './tables';

/** More than any price that can be met. */
export const NEVER = 1 << 30;

/** Weights of the untimed price in whole units. */
export interface UntimedWeights extends MoveWeights {
  readonly respelt: number;
}

/** A stop as the shortest path sees it. */
export type Layer = Pick<Stop, 'options' | 'spans'>;

export interface Chain {
  readonly layers: readonly Layer[];
  readonly start: Setting | null;
  /** What must stand at the end; ALL_FREE for nothing. */
  readonly end: Partial7;
  readonly weights: UntimedWeights;
}

/** Least prices to serve the layers from an index to the end, by the setting in force before it. */
export interface Backward {
  /** `remaining(i)[s]` plus `base(i)`; NEVER where the rest cannot be served from s. */
  remaining(index: number): Int32Array;
  base(index: number): number;
  readonly possible: boolean;
  readonly table: ApplicationTable;
}

/** At most this many layers are kept; longer chains keep every BLOCK-th and make the rest again when asked. */
const KEEP_ALL = 2048;
const BLOCK = 128;

/**
 * Runs the shortest path backwards. A pedal is moved where a stop needs it: in the untimed problem a move may
 * always wait until then. Each layer is kept less its minimum, so that 32 bits hold any length.
 */
export function backward(chain: Chain): Backward {
  const { layers, weights } = chain;
  const n = layers.length;
  const table = applicationTable(weights);
  const kept = new Map<number, Int32Array>();
  const bases = new Float64Array(n + 1);
  const every = n <= KEEP_ALL ? 1 : BLOCK;

  const final = new Int32Array(SETTING_COUNT);
  if (chain.end !== ALL_FREE) final.set(table(chain.end).cost);
  bases[n] = settle(final);
  kept.set(n, final);

  let possible = true;
  let current: Int32Array = final;
  for (let i = n - 1; i >= 0; i--) {
    const same = i + 1 < n && (layers[i] as Layer).options === (layers[i + 1] as Layer).options;
    const next =
      same && respeltNothing(layers[i] as Layer)
        ? current
        : step(layers[i] as Layer, current, table, weights.respelt);
    const low = next === current ? 0 : settle(next);
    if (low >= NEVER) {
      possible = false;
      break;
    }
    bases[i] = (bases[i + 1] as number) + low;
    if (i % every === 0) kept.set(i, next);
    current = next;
  }

  let block: Int32Array[] = [];
  let blockStart = -1;
  const remaining = (index: number): Int32Array => {
    const direct = kept.get(index);
    if (direct !== undefined) return direct;
    const from = index - (index % BLOCK);
    if (blockStart !== from) {
      blockStart = from;
      block = [];
      const top = Math.min(n, from + BLOCK);
      let layer = kept.get(top) as Int32Array;
      for (let i = top - 1; i > from; i--) {
        layer = step(layers[i] as Layer, layer, table, weights.respelt);
        settle(layer);
        block[i - from] = layer;
      }
    }
    return block[index - from] as Int32Array;
  };
  return { remaining, base: (index) => bases[index] as number, possible, table };
}

const respeltNothing = (layer: Layer): boolean =>
  layer.options.every((o) => o.respelt === 0 && o.held === ALL_FREE);

/** Subtracts the minimum and answers it. */
function settle(values: Int32Array): number {
  let low = NEVER;
  for (let s = 0; s < SETTING_COUNT; s++) if ((values[s] as number) < low) low = values[s] as number;
  if (low > 0 && low < NEVER) {
    for (let s = 0; s < SETTING_COUNT; s++)
      if ((values[s] as number) < NEVER) values[s] = (values[s] as number) - low;
  }
  return low;
}

function step(layer: Layer, after: Int32Array, table: ApplicationTable, respeltWeight: number): Int32Array {
  const out = new Int32Array(SETTING_COUNT).fill(NEVER);
  for (const option of layer.options) {
    const { target, cost } = table(option.needs);
    const extra = option.respelt * respeltWeight;
    const held = option.held === ALL_FREE ? null : table(option.held).cost;
    for (let s = 0; s < SETTING_COUNT; s++) {
      if (held !== null && (held[s] as number) > 0) continue;
      const value = (cost[s] as number) + extra + (after[target[s] as number] as number);
      if (value < (out[s] as number)) out[s] = value;
    }
  }
  return out;
}

export interface UntimedPath {
  /** The setting before the first stop, nothing counted for reaching it when the start is free. */
  readonly start: Setting;
  /** The option that serves each layer. */
  readonly options: readonly Option[];
  readonly price: number;
}

/** The cheapest path, read forwards. `near` breaks ties of a free start. Null where the layers cannot be served. */
export function forward(
  chain: Chain,
  back: Backward,
  near: Setting,
  distance: (a: Setting, b: Setting) => number,
): UntimedPath | null {
  if (!back.possible) return null;
  const first = back.remaining(0);
  let start = chain.start ?? -1;
  if (start < 0) {
    let [best, far] = [NEVER, 0];
    for (let s = 0; s < SETTING_COUNT; s++) {
      const value = first[s] as number;
      if (value > best || value >= NEVER) continue;
      const d = distance(s, near);
      if (value < best || d < far) [start, best, far] = [s, value, d];
    }
  }
  if (start < 0 || (first[start] as number) >= NEVER) return null;
  const options: Option[] = [];
  let setting = start;
  const holding = new Map<string, Way>();
  chain.layers.forEach((layer, i) => {
    const after = back.remaining(i + 1);
    let [best, chosen] = [Number.POSITIVE_INFINITY, layer.options[0] as Option];
    for (const option of layer.options) {
      if (option.held !== ALL_FREE && (back.table(option.held).cost[setting] as number) > 0) continue;
      if (layer.spans.some((span, k) => (holding.get(span.id) ?? option.spanWays[k]) !== option.spanWays[k]))
        continue;
      const { target, cost } = back.table(option.needs);
      const value =
        (cost[setting] as number) +
        option.respelt * chain.weights.respelt +
        (after[target[setting] as number] as number);
      if (value < best) [best, chosen] = [value, option];
    }
    options.push(chosen);
    layer.spans.forEach((span, k) => holding.set(span.id, chosen.spanWays[k] as Way));
    setting = back.table(chosen.needs).target[setting] as number;
  });
  return { start, options, price: back.base(0) + (first[start] as number) };
}
