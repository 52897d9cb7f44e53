/** Settings and partial settings as integers, with tables that the solvers index instead of computing. */

import { type Position, SETTING_COUNT, type Setting, pedalIndex } from '../harp/setting';
import type { Letter } from '../music/pitch';

/** Weight of each pedal's base-3 digit in a setting. */
export const POW3 = [1, 3, 9, 27, 81, 243, 729] as const;

/** digitOf[7 * setting + pedal] is the pedal's position + 1. */
export const DIGITS: Uint8Array = (() => {
  const out = new Uint8Array(SETTING_COUNT * 7);
  for (let s = 0; s < SETTING_COUNT; s++) {
    for (let k = 0, rest = s; k < 7; k++, rest = Math.floor(rest / 3)) out[7 * s + k] = rest % 3;
  }
  return out;
})();

/** A partial setting: two bits a pedal in the order D C B E F G A; 0 ♭, 1 ♮, 2 ♯, 3 free. */
export type Partial7 = number;
export const ALL_FREE: Partial7 = 0x3fff;

export const partialDigit = (p: Partial7, pedal: number): number => (p >> (2 * pedal)) & 3;

export const withDigit = (p: Partial7, pedal: number, digit: number): Partial7 =>
  (p & ~(3 << (2 * pedal))) | (digit << (2 * pedal));

export const partialOf = (letter: Letter, position: Position): Partial7 =>
  withDigit(ALL_FREE, pedalIndex(letter), position + 1);

/** Both demands at once, or -1 where they want one pedal in two positions. */
export function mergePartials(a: Partial7, b: Partial7): Partial7 | -1 {
  if (a === ALL_FREE) return b;
  if (b === ALL_FREE) return a;
  let out = a;
  for (let k = 0; k < 7; k++) {
    const [x, y] = [partialDigit(a, k), partialDigit(b, k)];
    if (y === 3 || x === y) continue;
    if (x !== 3) return -1;
    out = withDigit(out, k, y);
  }
  return out;
}

/** True where every pedal that `inner` fixes is fixed the same in `outer`. */
export const partialWithin = (inner: Partial7, outer: Partial7): boolean =>
  mergePartials(inner, outer) === outer;

/** The setting restricted to some pedals (bit k for pedal k). */
export function restrictSetting(setting: Setting, pedals: number): Partial7 {
  let out = ALL_FREE;
  for (let k = 0; k < 7; k++)
    if (pedals & (1 << k)) out = withDigit(out, k, DIGITS[7 * setting + k] as number);
  return out;
}

/** Prices of the untimed problem, whole units: one move, and each position travelled beyond its first. */
export interface MoveWeights {
  readonly move: number;
  readonly second: number;
}

/** What meeting a partial setting does to each state of a space. */
export interface Application {
  /** The state after the pedals concerned have moved; unspecified where `cost` is NEVER. */
  readonly target: Uint16Array;
  /** Weighed price of those moves. */
  readonly cost: Int32Array;
}

/** More than any price that can be met. */
export const NEVER = 1 << 30;

/**
 * The settings that a plan can need: for each pedal only the positions that something asks for. A tonal passage
 * needs some dozens of the 2,187, which is what makes planning it fast.
 */
export interface Space {
  readonly size: number;
  /** Settings by state, ascending. */
  readonly settings: Uint16Array;
  /** State by setting; -1 outside the space. */
  readonly stateOf: Int16Array;
  /** Tables of one partial setting, made when first asked for. */
  apply(p: Partial7): Application;
}

const SPACES_KEPT = 64;
const TABLES_KEPT = 2000;
const spaces = new Map<string, Space>();

/** The space of the positions in `masks` (per pedal, bit d for digit d; never empty), with tables at these weights. */
export function spaceOf(masks: ArrayLike<number>, weights: MoveWeights): Space {
  const name = `${Array.from(masks).join('')}/${weights.move}/${weights.second}`;
  const known = spaces.get(name);
  if (known !== undefined) return known;
  if (spaces.size >= SPACES_KEPT) spaces.clear();
  const made = makeSpace(masks, weights);
  spaces.set(name, made);
  return made;
}

function makeSpace(masks: ArrayLike<number>, weights: MoveWeights): Space {
  const list: number[] = [];
  const stateOf = new Int16Array(SETTING_COUNT).fill(-1);
  for (let s = 0; s < SETTING_COUNT; s++) {
    let within = true;
    for (let k = 0; k < 7 && within; k++) {
      within = ((masks[k] as number) & (1 << (DIGITS[7 * s + k] as number))) !== 0;
    }
    if (!within) continue;
    stateOf[s] = list.length;
    list.push(s);
  }
  const settings = Uint16Array.from(list);
  const tables = new Map<Partial7, Application>();
  return {
    size: list.length,
    settings,
    stateOf,
    apply: (p) => {
      let found = tables.get(p);
      if (found === undefined) {
        if (tables.size >= TABLES_KEPT) tables.clear();
        tables.set(p, (found = makeApplication(p, settings, stateOf, weights)));
      }
      return found;
    },
  };
}

function makeApplication(
  p: Partial7,
  settings: Uint16Array,
  stateOf: Int16Array,
  weights: MoveWeights,
): Application {
  const target = new Uint16Array(settings.length);
  const cost = new Int32Array(settings.length);
  for (let i = 0; i < settings.length; i++) {
    const s = settings[i] as number;
    let [to, price] = [s, 0];
    for (let k = 0; k < 7; k++) {
      const want = partialDigit(p, k);
      const have = DIGITS[7 * s + k] as number;
      if (want === 3 || want === have) continue;
      to += (want - have) * (POW3[k] as number);
      price += weights.move + (Math.abs(want - have) - 1) * weights.second;
    }
    const state = stateOf[to] as number;
    target[i] = Math.max(0, state);
    cost[i] = state < 0 ? NEVER : price;
  }
  return { target, cost };
}
