/** A small room, synthesized: eight delay lines that feed one another, so that the strings stand in a place. */

import { exp } from './series';
import { NEPERS_60 } from './string-model';

/** Seconds of the delay lines: no two share a ratio of small whole numbers. Common practice, tuned by ear. */
const DELAYS = [0.02297, 0.02741, 0.03109, 0.03373, 0.03719, 0.04051, 0.04423, 0.04787] as const;
const LINES = DELAYS.length;
/** Reverberation of low sounds by 60 dB, in seconds: a living room with a high ceiling. */
export const ROOM_SECONDS = 1.1;
/** How much of the high sounds each pass swallows (one-pole low-pass, 0 … 1). */
const SOFTNESS = 0.35;
/** Before the first reflection, in seconds. */
const PREDELAY = 0.011;
/** Level of the room against the strings: −17 dB. */
export const ROOM_LEVEL = 0.14;

/**
 * Adds the room's answer to both sides in place; what would sound beyond their end is lost, so leave `ROOM_SECONDS`.
 * The lines are joined by a Householder matrix (Jot 1991, feedback delay networks), which keeps all energy; each
 * line's gain makes it fall by 60 dB in `ROOM_SECONDS`. + − × ÷ only: the same bits in every engine.
 */
export function addRoom(
  left: Float32Array,
  right: Float32Array,
  sampleRate: number,
  level: number = ROOM_LEVEL,
): void {
  const lines = DELAYS.map((d) => lineOf(Math.max(1, Math.floor(d * sampleRate + 0.5)), d));
  const before = Math.floor(PREDELAY * sampleRate + 0.5);
  // What comes out of a line in a block went in before it: no block is longer than the shortest line.
  const block = lines.reduce((least, line) => Math.min(least, line.memory.length), 256);
  const dryLeft = new Float64Array(before + block);
  const dryRight = new Float64Array(before + block);
  const shared = new Float64Array(block);
  const wetLeft = new Float64Array(block);
  const wetRight = new Float64Array(block);
  for (let start = 0; start < left.length; start += block) {
    const size = Math.min(block, left.length - start);
    dryLeft.set(left.subarray(start, start + size), before);
    dryRight.set(right.subarray(start, start + size), before);
    shared.fill(0);
    wetLeft.fill(0);
    wetRight.fill(0);
    // Even lines to the left, odd to the right, every other pair turned over: two sides that do not agree.
    lines.forEach((line, k) => {
      takeOut(line, size, k % 2 === 0 ? wetLeft : wetRight, (k & 2) === 0 ? 1 : -1, shared);
    });
    lines.forEach((line, k) => putIn(line, size, k % 2 === 0 ? dryLeft : dryRight, shared));
    for (let i = 0; i < size; i++) {
      left[start + i] = (left[start + i] as number) + level * (wetLeft[i] as number);
      right[start + i] = (right[start + i] as number) + level * (wetRight[i] as number);
    }
    dryLeft.copyWithin(0, size, size + before);
    dryRight.copyWithin(0, size, size + before);
  }
}

interface Line {
  readonly memory: Float64Array;
  readonly gain: number;
  /** Where the next sample comes out, and then goes in. */
  place: number;
  low: number;
}

const lineOf = (size: number, delay: number): Line => ({
  memory: new Float64Array(size),
  gain: exp((-NEPERS_60 * delay) / ROOM_SECONDS),
  place: 0,
  low: 0,
});

/** Softens what comes out of a line, leaves it in its place, and adds it to a side and to the shared sum. */
function takeOut(line: Line, size: number, wet: Float64Array, sign: number, shared: Float64Array): void {
  const { memory, gain } = line;
  let { place, low } = line;
  for (let i = 0; i < size; i++) {
    const passed = memory[place] as number;
    low = passed + SOFTNESS * (low - passed);
    const y = low * gain;
    memory[place] = y;
    shared[i] = (shared[i] as number) + y;
    wet[i] = (wet[i] as number) + sign * y;
    place = place + 1 === memory.length ? 0 : place + 1;
  }
  line.low = low;
}

/** Feeds a line: what came out of it, less its share of all, and the new sound. */
function putIn(line: Line, size: number, dry: Float64Array, shared: Float64Array): void {
  const { memory } = line;
  let { place } = line;
  for (let i = 0; i < size; i++) {
    memory[place] = (memory[place] as number) - (2 / LINES) * (shared[i] as number) + (dry[i] as number);
    place = place + 1 === memory.length ? 0 : place + 1;
  }
  line.place = place;
}

/** The room's answer to one sample of both sides, without that sample: for a convolver. */
export function roomImpulse(sampleRate: number): { left: Float32Array; right: Float32Array } {
  const length = Math.ceil(ROOM_SECONDS * sampleRate);
  const left = new Float32Array(length);
  const right = new Float32Array(length);
  left[0] = 1;
  right[0] = 1;
  addRoom(left, right, sampleRate);
  left[0] = 0;
  right[0] = 0;
  return { left, right };
}
