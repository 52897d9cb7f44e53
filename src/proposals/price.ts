/** What a proposal costs: pedals, warnings and craft, added at stated rates. */

import type { Problem } from '../base/problem';
import type { PedalPrice } from '../pedals/types';
import type { Price } from './types';

/**
 * Points per unit. A pedal move is the yardstick: one move weighs as much as ten points of craft, the second
 * foot of a gesture is cheaper than a gesture of its own, a warning is a harpist's
 * grumble, and a chord tone that was asked for and never sounds is a loss of its own. Common practice.
 */
export const RATES = {
  pedalMoves: 10,
  gestures: 4,
  positions: 1,
  hasty: 12,
  respelt: 2,
  warnings: 8,
  missingTones: 4,
  craft: 1,
} as const;

/** Adds up a price; `total` is a whole number, and lower is better. */
export function priceOf(
  pedals: PedalPrice,
  warnings: readonly Problem[],
  craft: Readonly<Record<string, number>>,
  missing: number,
): Price {
  const terms = {
    pedalMoves: pedals.moves,
    gestures: pedals.gestures,
    positions: pedals.positions,
    hasty: pedals.hasty,
    respelt: pedals.respelt,
    warnings: warnings.length,
    missingTones: missing,
    craft: Object.values(craft).reduce((sum, points) => sum + points, 0),
  };
  const total = (Object.keys(RATES) as (keyof typeof RATES)[]).reduce(
    (sum, k) => sum + RATES[k] * terms[k],
    0,
  );
  return { ...terms, total };
}
