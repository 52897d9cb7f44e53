/** The chords that a figure may be asked for: every root, the common kinds, any slash bass. */

import { parseChord } from '../../../src/harmony/chord';
import { makeKey } from '../../../src/harmony/key';
import type { Chord, Progression } from '../../../src/harmony/types';
import { type SpelledChord, spellChord, withScale } from '../../../src/figures/spelling';
import { LETTERS } from '../../../src/music/pitch';

const KINDS = [
  '', 'm', '5', 'dim', 'aug', 'sus4', 'sus2', '7', 'm7', 'maj7', 'dim7', 'm7b5', '6', 'm6', '7sus4', 'mMaj7', 'add9',
  'madd9', '7b5', '7#5', '9', 'm9', 'maj9', '7b9', '6/9', 'm11', '13',
]; // prettier-ignore

export interface Offer {
  readonly chord: Chord;
  readonly spelled: SpelledChord;
  /** Letter and inflection of every tone, the bass among them: bit letter × 3 + alter + 1. */
  readonly mask: number;
  readonly bass: number;
}

export const bitOf = (string: number, alter: number): number => (string % 7) * 3 + alter + 1;

const parse = (text: string): Offer | null => {
  const read = parseChord(text);
  if (!read.ok) return null;
  const chord = read.value;
  const spelled = spellChord(chord);
  const bit = (t: { letter: (typeof LETTERS)[number]; alter: number }): number =>
    bitOf(LETTERS.indexOf(t.letter), t.alter);
  const mask = [spelled.bass, ...spelled.tones].reduce((m, t) => m | (1 << bit(t)), 0);
  return { chord, spelled, mask, bass: bit(spelled.bass) };
};

const PLAIN: readonly Offer[] = KINDS.flatMap((kind) =>
  LETTERS.flatMap((letter) => ['', 'b', '#'].flatMap((sign) => parse(letter + sign + kind) ?? [])),
);

const SIGNS = ['b', '', '#'];
const slashed = new Map<string, Offer | null>();
function over(offer: Offer, bass: number): Offer | null {
  if (offer.bass === bass) return offer;
  const text = `${offer.chord.text}/${LETTERS[Math.floor(bass / 3)] as string}${SIGNS[bass % 3] as string}`;
  let known = slashed.get(text);
  if (known === undefined) {
    known = parse(text);
    slashed.set(text, known);
  }
  return known !== null && known.bass === bass ? known : null;
}

const offers = new Map<string, readonly Offer[]>();

/** Chords whose tones hold all of a mask, over a bass (bit; null for any), fewest tones first. */
export function chordsFor(mask: number, bass: number | null, most: number): readonly Offer[] {
  const key = `${mask} ${bass} ${most}`;
  const known = offers.get(key);
  if (known !== undefined) return known;
  const out: Offer[] = [];
  for (const offer of PLAIN) {
    if (out.length >= most) break;
    const upper = bass === null ? mask : mask & ~(1 << bass);
    if ((upper & ~offer.mask) !== 0) continue;
    const found = bass === null ? offer : over(offer, bass);
    if (found !== null && (mask & ~found.mask) === 0) out.push(found);
  }
  offers.set(key, out);
  return out;
}

/** The keys that a song may be in. */
const KEYS: readonly Progression['key'][] = (['major', 'minor'] as const).flatMap((mode) =>
  LETTERS.flatMap((letter) =>
    [-1, 0, 1].map((alter) => makeKey({ letter, alter }, mode)).filter((k) => Math.abs(k.fifths) <= 7),
  ),
);

interface ScaleOffer extends Offer {
  readonly key: Progression['key'];
}
let scales: readonly ScaleOffer[] | null = null;

/** Chords of the commonest kinds with their scale in every key, whose scale holds a mask over a bass. */
export function scalesFor(mask: number, bass: number | null, most: number): readonly ScaleOffer[] {
  scales ??= KEYS.flatMap((key) =>
    PLAIN.filter(({ chord }) => /^[A-G][b#]?(m|7|m7|maj7)?$/.test(chord.text)).flatMap((offer) => {
      const spelled = withScale(offer.spelled, offer.chord, key);
      const at = (t: { letter: (typeof LETTERS)[number]; alter: number }): number =>
        bitOf(LETTERS.indexOf(t.letter), t.alter);
      const tones = (spelled.scale ?? []).reduce((m, t) => m | (1 << at(t)), 0);
      return [{ chord: offer.chord, spelled, mask: tones, bass: at(spelled.bass), key }];
    }),
  );
  return scales.filter((o) => (mask & ~o.mask) === 0 && (bass === null || o.bass === bass)).slice(0, most);
}
