/** Keeps what the transport is asked within what can be played. */

import type { CountIn, Loop } from './types';

/** Shorter loops are not taken, in seconds. */
const LEAST_LOOP = 0.1;

/** The loop within a passage, or null where too little is left of it. */
export function loopWithin(loop: Loop | null, duration: number): Loop | null {
  if (loop === null) return null;
  const from = Math.max(0, loop.from);
  const to = Math.min(duration, loop.to);
  return to - from >= LEAST_LOOP ? { from, to } : null;
}

/** A count-in of 1 … 16 whole beats, or null. */
export const countInWithin = (count: CountIn | null): CountIn | null =>
  count === null || !(count.seconds > 0)
    ? null
    : { beats: Math.min(16, Math.max(1, Math.round(count.beats))), seconds: count.seconds };

/** When each beat of a count-in comes, in seconds of output from its start. */
export const countInBeats = (count: CountIn | null, rate: number): number[] =>
  count === null ? [] : Array.from({ length: count.beats }, (_, i) => (i * count.seconds) / rate);
