/** From chosen options to moves with their windows: free from the last need of the old to the first of the new. */

import type { Ticks } from '../base/units';
import { PEDALS, type Foot, type Position, type Setting, footOf } from '../harp/setting';
import type { Letter } from '../music/pitch';
import type { Option, Stop } from './demand-types';
import { DIGITS, partialDigit } from './tables';

/** A move that must be made, and when its instant may lie: `release` and `due` included, in ticks. */
export interface Job {
  readonly letter: Letter;
  readonly foot: Foot;
  readonly from: Position;
  readonly to: Position;
  readonly release: Ticks;
  readonly due: Ticks;
  /** A pluck or sweep waits for it at `due`; false for moves towards the setting asked for at the end. */
  readonly awaited: boolean;
}

/**
 * The moves that a choice of options asks for, in order of need. A pedal is free from the very onset of its last
 * pluck, which is struck before the move; a sweep or tremble holds its pedals to its end.
 */
export function jobsOf(
  stops: readonly Pick<Stop, 'onset' | 'spans'>[],
  chosen: readonly Option[],
  start: Setting,
  end: Setting | null,
  begin: Ticks,
  finish: Ticks,
): Job[] {
  const jobs: Job[] = [];
  const digit = PEDALS.map((_, k) => DIGITS[7 * start + k] as number);
  const free: number[] = PEDALS.map(() => begin);
  const need = (k: number, want: number, at: Ticks, awaited: boolean): void => {
    const have = digit[k] as number;
    if (want === 3 || want === have) return;
    const letter = PEDALS[k] as Letter;
    const [from, to] = [(have - 1) as Position, (want - 1) as Position];
    const release = Math.min(free[k] as number, at) as Ticks;
    jobs.push({ letter, foot: footOf(letter), from, to, release, due: at, awaited });
    digit[k] = want;
  };
  stops.forEach((stop, i) => {
    const option = chosen[i] as Option;
    for (let k = 0; k < 7; k++) {
      const want = partialDigit(option.needs, k);
      if (want === 3) continue;
      need(k, want, stop.onset, true);
      if (partialDigit(option.struck.needs, k) !== 3) free[k] = Math.max(free[k] as number, stop.onset);
      stop.spans.forEach((span, j) => {
        const way = option.spanWays[j];
        if (way !== undefined && partialDigit(way.needs, k) !== 3)
          free[k] = Math.max(free[k] as number, span.end);
      });
    }
  });
  if (end !== null) {
    const last = Math.max(finish, ...free) as Ticks;
    for (let k = 0; k < 7; k++) need(k, DIGITS[7 * end + k] as number, last, false);
  }
  return jobs;
}
