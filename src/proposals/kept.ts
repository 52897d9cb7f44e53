/** Bars that are to stay as a proposal has them: which of them can, on the chords that stand there now. */

import type { HarmonyMark, Passage } from '../music/passage';
import type { Problem } from '../base/problem';
import type { DroppedBar, Keep, Texture } from './types';

const spelt = (s: HarmonyMark['root']): string => (s === null ? '' : `${s.letter}${s.alter}`);

/** A chord in one word, whatever its writing: root, kind, degrees, bass; N.C. is 'none'. */
const chordWord = ({ root, bass, kind, degrees }: HarmonyMark): string =>
  [
    spelt(root),
    kind,
    ...degrees.map((d) => `${d.type}${d.value}${d.alter}`),
    ...(bass === null ? [] : [`/${spelt(bass)}`]),
  ].join(' ');

/**
 * The chords of each bar in one word: what `Keep.chords` remembers. Equal words are equal chords at the same places of
 * the bar, however they were typed. All bars are of one length; each has a mark at its beginning, as drafts have.
 */
export function barChords({ bars, chords }: Pick<Passage, 'bars' | 'chords'>): string[] {
  return bars.map(({ start, length }) =>
    chords
      .filter((c) => c.onset >= start && c.onset < start + length)
      .map((c) => `${c.onset - start}:${chordWord(c)}`)
      .join(', '),
  );
}

export interface Kept<T> {
  /** What stays, by bar; null where a bar is chosen anew. */
  readonly bars: readonly (T | null)[];
  readonly dropped: readonly DroppedBar[];
}

/**
 * What each bar keeps; of two for one bar the later. A bar is dropped where its chords have changed, where it is past
 * the end, or where its texture cannot be drawn here: it is chosen anew, and said.
 */
export function keptBars<T>(
  keep: readonly Keep[],
  chordsNow: readonly string[],
  material: (texture: Texture) => T | readonly Problem[],
): Kept<T> {
  const bars: (T | null)[] = chordsNow.map(() => null);
  const dropped = new Map<number, DroppedBar['why']>();
  for (const { from, to, recipe, chords } of keep) {
    for (let bar = from; bar <= to; bar++) {
      if (bar > bars.length) {
        dropped.set(bar, 'past-end');
        continue;
      }
      bars[bar - 1] = null;
      dropped.delete(bar);
      const then = chords?.[bar - from];
      if (then !== undefined && then !== chordsNow[bar - 1]) {
        dropped.set(bar, 'chords');
        continue;
      }
      const made = material(recipe[(bar - 1) % recipe.length] as Texture);
      if (Array.isArray(made)) dropped.set(bar, 'unplayable');
      else bars[bar - 1] = made as T;
    }
  }
  return {
    bars,
    dropped: [...dropped].sort(([a], [b]) => a - b).map(([bar, why]) => ({ bar, why })),
  };
}
