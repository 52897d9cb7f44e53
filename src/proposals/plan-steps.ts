/** How much work an exact pedal plan is, before it is begun. */

import type { Passage } from '../music/passage';

export const onsetsOf = (p: Passage): number =>
  new Set(p.plucks.map((x) => x.onset)).size + p.sweeps.length + 1;

/**
 * What an exact plan takes, in steps of about a microsecond: it grows with the moves for each onset (`moves` null: no
 * quick plan was found). Measured, not promised.
 */
export function exactSteps(passage: Passage, moves: number | null): number {
  const onsets = onsetsOf(passage);
  const each = moves === null ? 5000 : 600 + Math.floor((300_000 * moves * moves) / (onsets * onsets));
  return onsets * each;
}
