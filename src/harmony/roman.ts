/** Roman numerals over a key: I, ii7, bVII, viio7, V7/V. */

import { LONGEST_WORD, buildChord, splitBass } from './chord';
import { type Formula, hasTone, qualityOf, singleSign, spellDegree } from './formula';
import { plainSigns } from './grammar';
import { type Key, makeKey } from './key';
import { parseSuffix } from './suffix';
import type { Chord, Spelling } from './types';

const NUMERAL = '(b|#)?(VII|III|VI|IV|II|V|I|vii|iii|vi|iv|ii|v|i)';
const HEAD = new RegExp(`^${NUMERAL}(.*)$`);
const TARGET = new RegExp(`^(.*)/(${NUMERAL}(?:o|dim)?)$`);
const DEGREES = ['I', 'II', 'III', 'IV', 'V', 'VI', 'VII'] as const;

/** Whether a word begins as a Roman numeral does. No letter root does. */
export const looksRoman = (text: string): boolean => HEAD.test(plainSigns(text));

/**
 * The suffix behind a numeral. A small numeral has a minor third: ii7 is a minor seventh, vii°7 and iiø7 say
 * their own; a large one is read as a letter would be.
 */
function readSuffix(numeral: string, suffix: string): Formula | null {
  if (numeral === numeral.toUpperCase()) return parseSuffix(suffix);
  const minor = parseSuffix(`m${suffix}`);
  if (minor !== null) return minor;
  const own = parseSuffix(suffix);
  return own !== null && !hasTone(own, 3, 0) ? own : null;
}

/**
 * The root of a numeral. In major, degrees of the major scale. In minor, those of the natural minor scale; a flat
 * counts from major (bVII is VII), a sharp raises (#vi), and a diminished chord on vii stands on the leading note.
 */
function rootOf(numeral: string, sign: string | undefined, key: Key, f: Formula): Spelling {
  const degree = DEGREES.findIndex((d) => d === numeral.toUpperCase()) + 1;
  const variable = key.mode === 'minor' && (degree === 3 || degree === 6 || degree === 7);
  let alter = sign === 'b' ? -1 : sign === '#' ? 1 : 0;
  if (variable && sign === undefined) {
    const quality = qualityOf(f);
    const leading = degree === 7 && (quality === 'diminished' || quality === 'half-diminished');
    alter = leading ? 0 : -1;
  } else if (variable && sign === '#') alter = 0;
  return spellDegree(key.tonic, degree, alter);
}

/** The chord of a numeral in a key, or null where the grammar does not read it. */
export function readRoman(text: string, key: Key): Chord | null {
  const word = text.trim();
  if (word.length > LONGEST_WORD) return null;
  const plain = plainSigns(word);
  const secondary = TARGET.exec(plain);
  if (secondary !== null && secondary[1] !== '') {
    // V7/ii: the dominant of the chord on ii, which is tonic for the moment; a small numeral makes it minor.
    const target = readRoman(secondary[2] as string, key);
    if (target === null) return null;
    const small = (secondary[4] as string) !== (secondary[4] as string).toUpperCase();
    const there = makeKey(target.root, small ? 'minor' : 'major');
    const chord = readRoman(secondary[1] as string, { ...there, tonic: target.root });
    return chord === null ? null : { ...chord, text: word };
  }
  const { head, bass } = splitBass(plain);
  const m = HEAD.exec(head);
  if (m === null) return null;
  const numeral = m[2] as string;
  const f = readSuffix(numeral, m[3] as string);
  if (f === null) return null;
  return buildChord(word, singleSign(rootOf(numeral, m[1], key, f)), f, bass);
}
