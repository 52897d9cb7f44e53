/** What a bar looks like in a few words: its rhythm, and how many notes each hand strikes. */

import { TICKS_PER_QUARTER } from '../../../src/base/units';
import type { PublishedBar } from './bars';

/** '3/4: 0 L3R4, 1 L3R4': onsets in quarters, with the count of each hand; a line by its steps' directions. */
export function shapeOf(bar: PublishedBar): string {
  const onsets = [...new Set(bar.plucks.map((p) => p.onset))];
  const words = onsets.map((onset) => {
    const at = bar.plucks.filter((p) => p.onset === onset);
    const count = (hand: string): string => {
      const n = at.filter((p) => p.hand === hand).length;
      return n === 0 ? '' : `${hand}${n}`;
    };
    const quarters = Math.round((100 * onset) / TICKS_PER_QUARTER) / 100;
    return `${quarters} ${count('L')}${count('R')}`;
  });
  return `${bar.metre.beats}/${bar.metre.unit}: ${words.slice(0, 12).join(', ')}${words.length > 12 ? ' …' : ''}`;
}
