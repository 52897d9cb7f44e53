/** Divisions between two harps in words. The page and the terminal say the same. */

import type { Split } from './two-harps';
import type { SplitWay } from './two-harps-divide';

/** 'by turns of 2 bars'. */
export function wayWords(way: SplitWay): string {
  switch (way.kind) {
    case 'bars':
    case 'beats':
      return `by turns of ${way.every === 1 ? `one ${way.kind.slice(0, -1)}` : `${way.every} ${way.kind}`}`;
    case 'chords':
      return 'by turns, chord by chord';
    case 'strokes':
      return 'by turns, stroke by stroke';
    case 'hands':
      return 'by hand: the right hand’s notes to Harp I, the left hand’s to Harp II';
    case 'halves':
      return 'by chord half: the upper notes to Harp I, the lower to Harp II';
    case 'relief':
      return 'bar by bar, wherever the other harp is set better';
  }
}

/** Why a way of dividing does not help. */
export const WHY_NOT = {
  empty: 'a harp has nothing to play',
  plan: 'a harp’s pedals cannot follow',
  rules: 'a harp’s hands cannot play it',
  limit: 'not looked at: the limit of work was hit',
} as const;

/** '1 pedal move'. */
export const movesWords = (n: number): string => `${n} pedal move${n === 1 ? '' : 's'}`;

/** ', 3 notes given across'; nothing where the way divides them all. */
export const acrossWords = ({ across }: Pick<Split, 'across'>): string =>
  across === 0 ? '' : `, ${across} ${across === 1 ? 'note' : 'notes'} given across`;

/** What a division saves against one harp. */
export function savingWords(split: Split): string {
  if (split.saves === null) return 'one harp cannot play it';
  const less = split.saves.moves;
  if (less === 0) return `as many as one harp, ${split.saves.points} points less`;
  return less > 0 ? `${movesWords(less)} fewer than one harp` : `${movesWords(-less)} more than one harp`;
}

/** Said where the limit of work was hit. */
export const LIMITED =
  'The passage is long and dense: its limit of work was hit. These plans hold, but fewer moves may be possible; ask for fewer bars to know.';
