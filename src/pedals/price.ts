/** The price of a plan by its terms. */

import type { Move } from '../harp/planned';
import type { Clock } from './clock';
import { comfortableTime } from './foot-times';
import type { FootTimes, PedalPrice } from './types';

/** Gestures: instants at which a foot moves; one left and one right together are one. */
export function priceOf(moves: readonly Move[], respelt: number, times: FootTimes, clock: Clock): PedalPrice {
  let [positions, hasty] = [0, 0];
  const last: Partial<Record<Move['foot'], Move>> = {};
  const instants = new Set<number>();
  for (const move of moves) {
    const travelled = Math.abs(move.to - move.from);
    positions += travelled;
    instants.add(move.onset);
    const prior = last[move.foot];
    if (prior !== undefined) {
      const gap = clock.microsAt(move.onset) - clock.microsAt(prior.onset);
      if (gap < comfortableTime(times, prior.letter, move.letter, travelled)) hasty++;
    }
    last[move.foot] = move;
  }
  return { moves: moves.length, gestures: instants.size, positions, hasty, respelt };
}
