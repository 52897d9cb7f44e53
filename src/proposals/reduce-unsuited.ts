/** A piece that does not suit the harp even when reduced, said once and first: too fast for hands, too busy for feet. */

import type { Problem } from '../base/problem';
import type { PlannedPassage } from '../harp/planned';
import { passageEnd } from '../music/passage';
import { unsuited } from './check-unsuited';
import type { Clock } from './reduce-clock';
import { ticks } from '../base/units';

/** Why a reduction lies badly as a whole. */
export interface Unsuited {
  readonly kind: 'fast' | 'feet' | 'hands';
  /** One line for the top of the answer. */
  readonly message: string;
}

/** Pedal moves in ten seconds, through the whole piece, beyond which a harpist looks at nothing but the feet. */
const BUSY = 12;
/** Bars below which nothing is said of the whole. */
const FEW_BARS = 8;

const usual = (p: Problem): string => {
  const tempo = p.detail?.['tempo'];
  return tempo === undefined ? '' : ` at ♩ = ${tempo}`;
};

/**
 * What to say first of a reduction: null where the piece suits the harp. `problems` are the judge's. Fast: most bars
 * go beyond what hands like (check-unsuited.ts); feet: more than twelve moves in ten seconds throughout, where about
 * two a second are a foot's best (Volpé Bligh, Writing for the Pedal Harp). Pure.
 */
export function unsuitedReduction(
  planned: PlannedPassage,
  problems: readonly Problem[],
  clock: Clock,
): Unsuited | null {
  const { passage, moves } = planned;
  if (passage.bars.length < FEW_BARS) return null;
  const found = unsuited(problems, passage);
  const kind = found?.detail?.['kind'];
  if (found !== null && (kind === 'fast' || kind === 'hands')) {
    const slower = found.detail?.['slower'];
    const way = slower === undefined ? 'A slower tempo' : `♩ = ${slower}`;
    const message =
      `Faster than suits the harp: even reduced, ${found.value} of ${found.limit} bars hurry the hands` +
      `${usual(found)}. ${way}, two harps or another piece would lie better.`;
    return { kind, message };
  }
  const seconds = Math.max(1, Math.floor(clock.microsAt(ticks(passageEnd(passage))) / 1_000_000));
  const often = Math.floor((10 * moves.length) / seconds);
  if (often < BUSY) return null;
  const message = `More chromatic than suits the harp: even reduced, ${often} pedal moves in ten seconds throughout. Two harps or another piece would lie better.`;
  return { kind: 'feet', message };
}
