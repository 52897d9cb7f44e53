/** The untimed problem: the cheapest settings from stop to stop, by a backward shortest path over the settings. */

import type { Setting } from '../harp/setting';
import type { Option, Stop, Way } from './demand-types';
import {
  ALL_FREE,
  DIGITS,
  type MoveWeights,
  NEVER,
  type Partial7,
  type Space,
  partialDigit,
  spaceOf,
} from './tables';

/** Weights of the untimed price in whole units. */
export interface UntimedWeights extends MoveWeights {
  /** 1 where the price of spelling counts, 0 where it does not. */
  readonly spelling: 0 | 1;
}

/** A stop as the shortest path sees it. */
export type Layer = Pick<Stop, 'options' | 'spans'>;

export interface Chain {
  readonly layers: readonly Layer[];
  readonly start: Setting | null;
  /** Where pedals stand that nothing needs, when the start is free. */
  readonly near: Setting;
  /** What must stand at the end; ALL_FREE for nothing. */
  readonly end: Partial7;
  readonly weights: UntimedWeights;
}

/** Least prices to serve the layers from an index to the end, by the setting in force before it. */
export interface Backward {
  /** NEVER where the rest cannot be served from the setting, or the setting can be no part of a plan. */
  rest(index: number, setting: Setting): number;
  /** `rest` by state, less `base(index)`. */
  remaining(index: number): Int32Array;
  base(index: number): number;
  readonly possible: boolean;
  readonly space: Space;
}

/** At most this many layers are kept; longer chains keep every BLOCK-th and make the rest again when asked. */
const KEEP_ALL = 2048;
const BLOCK = 128;

/** The positions that something in the chain asks for, per pedal. */
function masksOf(chain: Chain): number[] {
  const masks = [0, 0, 0, 0, 0, 0, 0];
  const add = (p: Partial7): void => {
    for (let k = 0; k < 7; k++) {
      const digit = partialDigit(p, k);
      if (digit !== 3) masks[k] = (masks[k] as number) | (1 << digit);
    }
  };
  add(chain.end);
  const seen = new Set<readonly Option[]>();
  for (const { options } of chain.layers) {
    if (seen.has(options)) continue;
    seen.add(options);
    for (const option of options) add(option.needs);
  }
  return masks.map((mask, k) => {
    if (chain.start !== null) return mask | (1 << (DIGITS[7 * chain.start + k] as number));
    return mask === 0 ? 1 << (DIGITS[7 * chain.near + k] as number) : mask;
  });
}

/**
 * Runs the shortest path backwards. A pedal is moved where a stop needs it: in the untimed problem a move may
 * always wait until then. Each layer is kept less its minimum, so that 32 bits hold any length.
 */
export function backward(chain: Chain): Backward {
  const { layers, weights } = chain;
  const n = layers.length;
  const space = spaceOf(masksOf(chain), weights);
  const kept = new Map<number, Int32Array>();
  const bases = new Float64Array(n + 1);
  const every = n <= KEEP_ALL ? 1 : BLOCK;

  const final = new Int32Array(space.size);
  if (chain.end !== ALL_FREE) final.set(space.apply(chain.end).cost);
  bases[n] = settle(final);
  kept.set(n, final);

  let possible = true;
  let current: Int32Array = final;
  for (let i = n - 1; i >= 0; i--) {
    const layer = layers[i] as Layer;
    // A demand met twice running asks for no more moves the second time.
    const first = (layer.options[0]?.price ?? 0) * weights.spelling;
    const again =
      layer.options === layers[i + 1]?.options &&
      layer.options.every((o) => o.price * weights.spelling === first);
    const next = again ? current : step(layer, current, space, weights.spelling);
    const low = again ? first : settle(next);
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
        layer = step(layers[i] as Layer, layer, space, weights.spelling);
        settle(layer);
        block[i - from] = layer;
      }
    }
    return block[index - from] as Int32Array;
  };
  const base = (index: number): number => bases[index] as number;
  const rest = (index: number, setting: Setting): number => {
    const state = space.stateOf[setting] as number;
    const value = state < 0 ? NEVER : (remaining(index)[state] as number);
    return value >= NEVER ? Number.POSITIVE_INFINITY : base(index) + value;
  };
  return { rest, remaining, base, possible, space };
}

/** Subtracts the minimum and answers it. */
function settle(values: Int32Array): number {
  let low = NEVER;
  for (let s = 0; s < values.length; s++) if ((values[s] as number) < low) low = values[s] as number;
  if (low > 0 && low < NEVER) {
    for (let s = 0; s < values.length; s++) {
      if ((values[s] as number) < NEVER) values[s] = (values[s] as number) - low;
    }
  }
  return low;
}

function step(layer: Layer, after: Int32Array, space: Space, spelling: number): Int32Array {
  const out = new Int32Array(space.size).fill(NEVER);
  for (const option of layer.options) {
    const { target, cost } = space.apply(option.needs);
    const extra = option.price * spelling;
    const held = option.held === ALL_FREE ? null : space.apply(option.held).cost;
    for (let s = 0; s < out.length; s++) {
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
  distance: (a: Setting, b: Setting) => number,
): UntimedPath | null {
  if (!back.possible) return null;
  const { space } = back;
  const first = back.remaining(0);
  let state = chain.start === null ? -1 : (space.stateOf[chain.start] as number);
  if (chain.start === null) {
    let [best, far] = [NEVER, 0];
    for (let s = 0; s < space.size; s++) {
      const value = first[s] as number;
      if (value > best || value >= NEVER) continue;
      const d = distance(space.settings[s] as number, chain.near);
      if (value < best || d < far) [state, best, far] = [s, value, d];
    }
  }
  if (state < 0 || (first[state] as number) >= NEVER) return null;
  const start = space.settings[state] as number;
  const price = back.base(0) + (first[state] as number);
  const options: Option[] = [];
  const holding = new Map<string, Way>();
  chain.layers.forEach((layer, i) => {
    const after = back.remaining(i + 1);
    let [best, chosen] = [Number.POSITIVE_INFINITY, layer.options[0] as Option];
    for (const option of layer.options) {
      if (option.held !== ALL_FREE && (space.apply(option.held).cost[state] as number) > 0) continue;
      if (
        layer.spans.some((span, k) => (holding.get(span.id) ?? option.spanWays[k]) !== option.spanWays[k])
      ) {
        continue;
      }
      const { target, cost } = space.apply(option.needs);
      const value =
        (cost[state] as number) +
        option.price * chain.weights.spelling +
        (after[target[state] as number] as number);
      if (value < best) [best, chosen] = [value, option];
    }
    options.push(chosen);
    layer.spans.forEach((span, k) => holding.set(span.id, chosen.spanWays[k] as Way));
    state = space.apply(chosen.needs).target[state] as number;
  });
  return { start, options, price };
}
