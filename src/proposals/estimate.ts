/** What a draft will cost, before its pedals are planned: to plan only what will be shown. */

import type { FigureDraft } from '../figures/types';
import type { Letter } from '../music/pitch';
import { RATES } from './price';

/** A move with its gesture and position, at the rates of the price. */
const MOVE = RATES.pedalMoves + RATES.gestures + RATES.positions;
/** Moves that a sweep usually takes: its setting and back. Measured over the families' sweeps, rounded. */
const SWEEP_MOVES = 3;

/** Points in whole numbers: craft, and a move wherever a letter sounds otherwise than it last did; it promises nothing. */
export function estimateOf({ passage, craft }: FigureDraft): number {
  const standing = new Map<Letter, number>();
  let changes = SWEEP_MOVES * passage.sweeps.length;
  const notes = [
    ...passage.plucks.map(({ onset, pitch }) => ({ onset, pitch })),
    ...passage.trembles.flatMap((t) => t.notes.map(({ pitch }) => ({ onset: t.onset, pitch }))),
  ].sort((a, b) => a.onset - b.onset);
  for (const { pitch } of notes) {
    const before = standing.get(pitch.letter);
    if (before !== undefined && before !== pitch.alter) changes++;
    standing.set(pitch.letter, pitch.alter);
  }
  return MOVE * changes + RATES.craft * Object.values(craft).reduce((sum, n) => sum + n, 0);
}
