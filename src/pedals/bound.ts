/** A bound that is nearly the price: every stretch between stops has its moves at their least, two feet a gesture. */

import type { Setting } from '../harp/setting';
import type { Stop } from './demand-types';
import type { Instants } from './instants';
import { positionBits } from './nodes';
import { ALL_FREE, DIGITS, NEVER, POW3, type Partial7, partialDigit } from './tables';

/** Least prices of what remains. */
export interface Bound {
  /** From the instant at which the stop before `index` has been struck, in a setting; Infinity where nothing serves. */
  rest(index: number, setting: Setting): number;
  /** The settings in which a plan may stand there. */
  settings(index: number): Uint16Array;
}

/** The settings that have one of some positions on each pedal, numbered with mixed radix. */
interface Shape {
  readonly settings: Uint16Array;
  /** By pedal: the digits, and how far apart neighbouring ones are numbered. */
  readonly digits: readonly (readonly number[])[];
  readonly strides: readonly number[];
  /** By 3 * pedal + digit: what the digit adds to the number; negative where it is not there. */
  readonly offsets: Int32Array;
  /** The number of a setting in two parts, its first four pedals and its last three; negative where it is not there. */
  readonly fronts: Int32Array;
  readonly backs: Int32Array;
  /** The numbers of the settings that meet a demand. */
  meeting(needs: Partial7): Uint16Array;
}

const SHAPES_KEPT = 1_000;
const shapes = new Map<number, Shape>();

function shapeOf(mask: Uint8Array): Shape {
  const key = mask.reduce((sum, bits) => 8 * sum + bits, 0);
  const known = shapes.get(key);
  if (known !== undefined) return known;
  if (shapes.size >= SHAPES_KEPT) shapes.clear();
  const made = makeShape(mask);
  shapes.set(key, made);
  return made;
}

/** All sums of one of each pedal's numbers. */
function sums(steps: readonly (readonly number[])[]): Uint16Array {
  const out = new Uint16Array(steps.reduce((size, some) => size * some.length, 1));
  let size = Math.min(1, out.length);
  for (const some of steps) {
    for (let i = some.length - 1; i >= 0; i--)
      for (let j = 0; j < size; j++) out[i * size + j] = (out[j] as number) + (some[i] as number);
    size *= some.length;
  }
  return out;
}

function makeShape(mask: Uint8Array): Shape {
  const digits = Array.from(mask, (bits) => [0, 1, 2].filter((d) => bits & (1 << d)));
  const offsets = new Int32Array(21).fill(-NEVER);
  const strides: number[] = [];
  let size = 1;
  digits.forEach((mine, k) => {
    strides.push(size);
    mine.forEach((d, rank) => (offsets[3 * k + d] = rank * size));
    size *= mine.length;
  });
  const known = new Map<Partial7, Uint16Array>();
  const meeting = (needs: Partial7): Uint16Array => {
    let found = known.get(needs);
    if (found !== undefined) return found;
    const steps = digits.map((mine, k) => {
      const want = partialDigit(needs, k);
      return mine.filter((d) => want === 3 || d === want).map((d) => offsets[3 * k + d] as number);
    });
    known.set(needs, (found = sums(steps)));
    return found;
  };
  const settings = sums(digits.map((mine, k) => mine.map((d) => d * (POW3[k] as number))));
  const part = (setting: number, first: number, last: number): number => {
    let at = 0;
    for (let k = first; k < last; k++) at += offsets[3 * k + (DIGITS[7 * setting + k] as number)] as number;
    return Math.max(-NEVER, at);
  };
  const fronts = Int32Array.from({ length: FRONTS }, (_, s) => part(s, 0, 4));
  const backs = Int32Array.from({ length: BACKS }, (_, s) => part(FRONTS * s, 4, 7));
  return { settings, digits, strides, offsets, fronts, backs, meeting };
}

/** For each stop the positions in which it may find each pedal: where it was needed last, or is needed next. */
function masksOf(stops: readonly Stop[], wanted: readonly Uint8Array[], first: Uint8Array): Uint8Array[] {
  let reach: Uint8Array = first;
  const out: Uint8Array[] = [];
  const join = (i: number): Uint8Array => {
    const next = wanted[i] as Uint8Array;
    return reach.map((bits, k) => bits | (next[k] as number));
  };
  stops.forEach((stop, i) => {
    out.push(join(i));
    const here = new Uint8Array(7);
    for (const { needs } of stop.options)
      for (let k = 0; k < 7; k++)
        here[k] = (here[k] as number) | (positionBits(needs, k) || (reach[k] as number));
    reach = here;
  });
  out.push(join(stops.length));
  return out;
}

/** Where a plan may begin: as given, or where each pedal is needed first, else as in `near`. */
function firstMask(wanted: Uint8Array, start: Setting | null, near: Setting): Uint8Array {
  return wanted.map((bits, k) =>
    start !== null ? 1 << (DIGITS[7 * start + k] as number) : bits || 1 << (DIGITS[7 * near + k] as number),
  );
}

export interface BoundTask {
  readonly stops: readonly Stop[];
  readonly wanted: readonly Uint8Array[];
  readonly start: Setting | null;
  readonly near: Setting;
  readonly end: Partial7;
  readonly begin: number;
  readonly finish: number;
  readonly instants: Instants;
  /** Points of a gesture. */
  readonly gesture: number;
}

/**
 * The least price of the rest by stop and setting, leaving out only what two moves of one foot cost each other, what
 * flips cost, and that a foot is somewhere: a plan's moves between two stops cost no less than each at the least of
 * every term, with as many gestures as the busier foot has moves. An emergency move costs more than the gesture that
 * it can save.
 */
export function boundOf(task: BoundTask): Bound {
  const { stops, wanted, instants, end, begin, gesture } = task;
  const n = stops.length;
  const masks = masksOf(stops, wanted, firstMask(wanted[0] as Uint8Array, task.start, task.near));
  const shapes = masks.map(shapeOf);
  // Least prices less `base`, so that large rates fit.
  const kept: Int32Array[] = [];
  const base = new Float64Array(n + 1);
  const least = new Int32Array(63);
  let targets: number[][] = [];
  /** Least points of each pedal's moves between two ticks, by pedal and positions. */
  const price = (shape: Shape, useful: Uint8Array, from: number, until: number): void => {
    targets = [];
    const leastOf = instants.least(from, until);
    for (let k = 0; k < 7; k++) {
      const digits = shape.digits[k] as readonly number[];
      const to = digits.length < 2 ? [] : digits.filter((d) => (useful[k] as number) & (1 << d));
      targets.push(to);
      for (const b of to) for (const a of digits) if (a !== b) least[9 * k + 3 * a + b] = leastOf(k, a, b);
    }
  };
  /** Into `out`: one move of these pedals, at `extra` points, where that is less. */
  const oneMove = (
    shape: Shape,
    from: Int32Array,
    out: Int32Array,
    first: number,
    last: number,
    extra: number,
  ): boolean => {
    let changed = false;
    const size = from.length;
    for (let k = first; k < last; k++) {
      const digits = shape.digits[k] as readonly number[];
      const stride = shape.strides[k] as number;
      const block = stride * digits.length;
      for (const to of targets[k] as number[]) {
        const there = shape.offsets[3 * k + to] as number;
        for (let rank = 0; rank < digits.length; rank++) {
          const have = digits[rank] as number;
          if (have === to) continue;
          const points = (least[9 * k + 3 * have + to] as number) + extra;
          const here = rank * stride;
          for (let base = 0; base < size; base += block) {
            for (let i = 0; i < stride; i++) {
              const value = (from[base + there + i] as number) + points;
              if (value < (out[base + here + i] as number)) {
                out[base + here + i] = value;
                changed = true;
              }
            }
          }
        }
      }
    }
    return changed;
  };
  /** Gesture by gesture: at most one move of either foot at a time. */
  const moved = (shape: Shape, served: Int32Array): Int32Array => {
    let before = served;
    for (let round = 0; round < 4; round++) {
      const left = Int32Array.from(before);
      oneMove(shape, before, left, 0, 3, 0);
      const out = Int32Array.from(before);
      for (let s = 0; s < out.length; s++)
        if ((left[s] as number) + gesture < (out[s] as number)) out[s] = (left[s] as number) + gesture;
      oneMove(shape, left, out, 3, 7, gesture);
      let changed = false;
      for (let s = 0; s < out.length && !changed; s++) changed = out[s] !== before[s];
      if (!changed) return before;
      before = out;
    }
    return before;
  };
  const lastShape = shapes[n] as Shape;
  let last = new Int32Array(lastShape.settings.length);
  if (end !== ALL_FREE) {
    last.fill(NEVER);
    for (const i of lastShape.meeting(end)) last[i] = 0;
    const from = stops.at(-1)?.onset ?? begin;
    price(lastShape, wanted[n] as Uint8Array, from, Math.max(task.finish, from));
    last = Int32Array.from(moved(lastShape, last));
  }
  base[n] = lowered(last);
  kept[n] = last;
  for (let i = n - 1; i >= 0; i--) {
    const stop = stops[i] as Stop;
    const after = kept[i + 1] as Int32Array;
    const [shape, then] = [shapes[i] as Shape, shapes[i + 1] as Shape];
    const { settings } = shape;
    const served = new Int32Array(settings.length).fill(NEVER);
    for (const option of stop.options) {
      for (const s of shape.meeting(option.needs)) {
        const number = shape === then ? s : numberOf(then, settings[s] as number);
        const value = option.price + (after[number] as number);
        if (value < (served[s] as number)) served[s] = value;
      }
    }
    price(shape, wanted[i] as Uint8Array, stops[i - 1]?.onset ?? begin, stop.onset);
    const values = moved(shape, served);
    base[i] = (base[i + 1] as number) + lowered(values);
    kept[i] = values;
  }
  return {
    rest: (index, setting) => {
      const at = numberOf(shapes[index] as Shape, setting);
      const value = at < 0 ? NEVER : ((kept[index] as Int32Array)[at] as number);
      return value >= NEVER ? Number.POSITIVE_INFINITY : (base[index] as number) + value;
    },
    settings: (index) => (shapes[index] as Shape).settings,
  };
}

/** Takes the least from all that can be, and answers it; 0 where nothing can. */
function lowered(values: Int32Array): number {
  let low = NEVER;
  for (let s = 0; s < values.length; s++) if ((values[s] as number) < low) low = values[s] as number;
  if (low === 0 || low >= NEVER) return 0;
  for (let s = 0; s < values.length; s++)
    if ((values[s] as number) < NEVER) values[s] = (values[s] as number) - low;
  return low;
}

/** Partial settings of the first four pedals, and of the last three. */
const FRONTS = 81;
const BACKS = 27;

/** The number of a setting; negative where the shape has it not. */
function numberOf({ fronts, backs }: Shape, setting: Setting): number {
  return (fronts[setting % FRONTS] as number) + (backs[(setting / FRONTS) | 0] as number);
}
