/** A ritardando at the close: heard beat by beat, printed as words. */

import type { Random } from '../base/random';
import { ticks } from '../base/units';
import { barAt, beatTicks } from '../music/metre';
import { type Passage, passageEnd } from '../music/passage';

/** Shares of the tempo in hundredths from beat to beat, the last held to the end. Common practice. */
const SHARES = [95, 90, 84, 78, 72] as const;
/** Fewest bars that a close slows. */
const FEWEST = 4;

/**
 * The passage slowed towards its last chord: from two felt beats before it the tempo falls from beat to beat. Nothing
 * is faster than before, so what hands and feet could do they still can.
 */
export function slowed(passage: Passage): Passage {
  const [first] = passage.tempo;
  const close = passage.plucks.at(-1)?.onset ?? 0;
  const bar = barAt(passage.bars, ticks(close));
  const beat = beatTicks(bar.metre);
  const from = bar.start - 2 * beat;
  if (first === undefined || passage.bars.length < FEWEST || from <= 0 || passage.tempo.length > 1)
    return passage;
  const changes = SHARES.map((share, i) => ({
    onset: ticks(from + i * beat),
    milliBpm: Math.floor((first.milliBpm * share) / 100),
    unseen: true as const,
  })).filter((c) => c.onset < passageEnd(passage));
  return {
    ...passage,
    tempo: [first, ...changes],
    words: [...(passage.words ?? []), { onset: ticks(from), text: 'poco rit.', staff: 1 }],
  };
}

/** The same for a third of the passages. */
export const maybeSlowed = (passage: Passage, random: Random): Passage =>
  random.chance(1, 3) ? slowed(passage) : passage;
