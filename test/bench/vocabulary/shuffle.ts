/** The control: the same bars with their onsets or their strings shuffled. */

import type { Random } from '../../../src/base/random';
import { type PublishedBar, type Struck, inOrder } from './bars';

const same = (a: readonly Struck[], b: readonly Struck[]): boolean =>
  JSON.stringify(inOrder(a)) === JSON.stringify(inOrder(b));

/** Draws before a bar counts as one that no shuffle changes. */
const DRAWS = 20;

function shuffled(
  bar: PublishedBar,
  random: Random,
  change: (p: Struck, other: Struck) => Struck,
): PublishedBar | null {
  for (let i = 0; i < DRAWS; i++) {
    const others = random.shuffle(bar.plucks);
    const plucks = bar.plucks.map((p, k) => change(p, others[k] as Struck));
    if (!same(plucks, bar.plucks)) return { ...bar, plucks: inOrder(plucks) };
  }
  return null;
}

/** Every pluck at another's onset; null where that changes nothing (one onset). */
export const shuffleOnsets = (bar: PublishedBar, random: Random): PublishedBar | null =>
  shuffled(bar, random, (p, other) => ({ ...p, onset: other.onset }));

/** Every pluck on another's string; null where that changes nothing (one pluck). */
export const shuffleStrings = (bar: PublishedBar, random: Random): PublishedBar | null =>
  shuffled(bar, random, (p, other) => ({ ...p, string: other.string, alter: other.alter }));
