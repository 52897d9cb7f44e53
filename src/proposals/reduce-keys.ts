/** Many sharps become flats, key by key: open strings ring fullest. */

import type { Passage } from '../music/passage';
import { inHarpKey } from '../pedals/options';

/** From this many sharps the harp reads in flats: B, F♯ and C♯ as C♭, G♭ and D♭ (Berlioz, Prout). */
const MANY_SHARPS = 5;
/** The same key with flats for sharps. */
const AROUND = 12;

/** Whether any key of the part has many sharps. */
export const hasManySharps = (passage: Passage): boolean =>
  passage.fifths >= MANY_SHARPS || (passage.keys ?? []).some((k) => k.fifths >= MANY_SHARPS);

const flats = (fifths: number): number => (fifths >= MANY_SHARPS ? fifths - AROUND : fifths);

/** The part with every stretch in a key of many sharps written in flats; other keys stay as they are. */
export function inFlatKeys(passage: Passage): Passage {
  const keys = passage.keys ?? [];
  const starts = [{ onset: 0, fifths: passage.fifths }, ...keys];
  const spelt = starts.map(({ fifths }) =>
    fifths >= MANY_SHARPS ? inHarpKey({ ...passage, fifths }, fifths - AROUND) : passage,
  );
  const own = (at: number): Passage => spelt[starts.findLastIndex((k) => k.onset <= at)] as Passage;
  return {
    ...passage,
    fifths: flats(passage.fifths),
    keys: keys.map((k) => ({ ...k, fifths: flats(k.fifths) })),
    plucks: passage.plucks.map((p, i) => own(p.onset).plucks[i] ?? p),
    trembles: passage.trembles.map((t, i) => own(t.onset).trembles[i] ?? t),
  };
}
