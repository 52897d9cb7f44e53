/** Scales: the seven notes that a harpist sets for a passage on a chord, and scales by name. */

import { LETTERS, letterIndex, letterSemitones, pitchClass } from '../music/pitch';
import { scaleSemitones } from '../music/theory';
import { chordPitchClasses, splitRoot } from './chord';
import { singleSign, spellDegree } from './formula';
import { plainSigns } from './grammar';
import { type Key, signature } from './key';
import type { Chord, Spelling } from './types';

/** Parent scales, tonal's names, with the price of not being simpler. Any mode of one counts as that one. */
const PARENTS: readonly (readonly [name: string, price: number])[] = [
  ['major', 0],
  ['melodic minor', 1],
  ['harmonic minor', 2],
  ['harmonic major', 2],
];

/** Prices of the choice, whole points; the cheapest of all settings with seven rising notes is taken. */
const PRICE = {
  /** A letter altered otherwise than in the key. */
  awayFromKey: 3,
  /** A seven-note scale that is no mode of the parents above. */
  stranger: 10,
  /** A chord tone that sounds on another letter than the symbol spells. */
  respelt: 2,
  rootRespelt: 6,
  /** A note against the chord: a natural fifth beside an altered one, both thirds, both sevenths. */
  against: 8,
  /** A chord tone missing: no seven rising strings hold them all. Root, third, seventh cost double. */
  missing: 200,
  /** Two letters at one pitch, or falling: the scale is no longer seven rising notes. */
  notRising: 60,
} as const;

const bit = (pc: number): number => 1 << (((pc % 12) + 12) % 12);

/** Price of each seven-note set that is a mode of a parent, by bit mask. */
const PARENT_PRICE: ReadonlyMap<number, number> = new Map(
  PARENTS.flatMap(([name, price]) => {
    const steps = scaleSemitones(name) ?? [];
    return Array.from(
      { length: 12 },
      (_, tonic) => [steps.reduce((mask, s) => mask | bit(s + tonic), 0), price] as const,
    );
  }).reverse(),
);

interface Candidate {
  /** By letter, C first. */
  readonly alters: readonly number[];
  readonly mask: number;
  /** Neighbouring letters of which the upper does not sound higher. */
  readonly falls: number;
}

/** Every letter flat, natural or sharp: 3 to the 7th. */
const EVERY_SETTING: readonly Candidate[] = Array.from({ length: 2187 }, (_, code) => {
  const alters = LETTERS.map((_letter, i) => (Math.floor(code / 3 ** i) % 3) - 1);
  const heights = LETTERS.map((letter, i) => letterSemitones(letter) + (alters[i] as number));
  const above = (i: number): number => (i === 6 ? 12 + (heights[0] as number) : (heights[i + 1] as number));
  return {
    alters,
    mask: heights.reduce((mask, height) => mask | bit(height), 0),
    falls: heights.filter((height, i) => above(i) <= height).length,
  };
});

/** What a scale on the chord must hold, and what it should not, as masks of pitch classes. */
function demands(chord: Chord): { wanted: number; against: number } {
  const root = pitchClass(chord.root.letter, chord.root.alter);
  const above = new Set(chordPitchClasses(chord).map((pc) => (pc - root + 12) % 12));
  const has = (n: number): boolean => above.has(n);
  const altered = has(4) && has(8) && has(10) && has(3) && !has(7) && !has(2);
  // `alt` means the whole altered scale, whichever of its tones are sounded.
  const wanted = altered ? [0, 1, 3, 4, 6, 8, 10] : [...above];
  const against: number[] = [];
  if (!has(7) && (has(6) || has(8))) against.push(7);
  if (has(3) && !has(4)) against.push(4);
  if (has(4) && !has(3)) against.push(3);
  if (has(10) && !has(11)) against.push(11);
  if (has(11) && !has(10)) against.push(10);
  if ((has(1) || (has(3) && has(4))) && !has(2)) against.push(2);
  if (has(2) && !has(1)) against.push(1);
  const mask = (list: readonly number[]): number => list.reduce((m, n) => m | bit(n + root), 0);
  return { wanted: mask(wanted), against: mask(against.filter((n) => !wanted.includes(n))) };
}

const bits = (mask: number): number => {
  let n = 0;
  for (let rest = mask; rest !== 0; rest &= rest - 1) n++;
  return n;
};

/**
 * The seven-note scale for a passage or sweep on a chord: every letter once, each with at most one sign (so it is
 * a setting of the harp), from the root upwards. It holds all chord tones wherever seven rising strings can, keeps
 * the key's notes elsewhere, and prefers modes of the major, minor and harmonic scales (chord-scale practice;
 * prices above are ours). Integers only: the same answer everywhere.
 */
export function scaleFor(chord: Chord, key: Key): Spelling[] {
  const signs = signature(key.fifths);
  const { wanted, against } = demands(chord);
  const strong = chord.tones.filter((t) => t.degree === 1 || t.degree === 3 || t.degree === 7);
  const strongMask = strong.reduce((mask, t) => mask | bit(t.pc), 0);
  const spelt = chord.tones.map((tone) => ({ ...tone, ...singleSign(tone) }));
  let best: readonly number[] = [];
  let bestPrice = Infinity;
  for (const { alters, mask, falls } of EVERY_SETTING) {
    let price = falls * PRICE.notRising;
    LETTERS.forEach((letter, i) => {
      if (signs[letter] !== alters[i]) price += PRICE.awayFromKey;
    });
    if (price >= bestPrice) continue;
    price += PRICE.missing * (bits(wanted & ~mask) + bits(wanted & strongMask & ~mask));
    price += PRICE.against * bits(mask & against);
    price += PARENT_PRICE.get(mask) ?? PRICE.stranger;
    for (const tone of spelt)
      if (alters[letterIndex(tone.letter)] !== tone.alter)
        price += tone.degree === 1 ? PRICE.rootRespelt : PRICE.respelt;
    if (price < bestPrice) [best, bestPrice] = [alters, price];
  }
  const scale = LETTERS.map((letter, i) => ({ letter, alter: best[i] as number }));
  const root = pitchClass(chord.root.letter, chord.root.alter);
  const at = Math.max(
    0,
    scale.findIndex((s) => pitchClass(s.letter, s.alter) === root),
  );
  return [...scale.slice(at), ...scale.slice(0, at)];
}

/** Names in daily use for scales that the dictionary holds under another. */
const NAMES: Readonly<Record<string, string>> = {
  'whole-tone': 'whole tone',
  'natural minor': 'aeolian',
  pentatonic: 'major pentatonic',
  'pentatonic major': 'major pentatonic',
  'pentatonic minor': 'minor pentatonic',
  'minor blues': 'minor blues',
  octatonic: 'diminished',
};

/**
 * A scale by tonic and name: 'C whole tone', 'A harmonic minor', 'E♭ lydian'. Each note with its pitch class,
 * at most one sign a note, from the tonic upwards; null where the name is not known.
 */
export function parseScale(text: string): (Spelling & { readonly pc: number })[] | null {
  const parts = splitRoot(plainSigns(text.trim()));
  if (parts === null || !/^\s+\S/.test(parts.suffix)) return null;
  const typed = parts.suffix
    .trim()
    .toLowerCase()
    .replace(/\s+/g, ' ')
    .replace(/ scale$/, '');
  const steps = scaleSemitones(NAMES[typed] ?? typed);
  if (steps === null) return null;
  const plain = [0, 2, 4, 5, 7, 9, 11];
  return steps.map((step, i) => {
    // Seven notes take one letter each; others the letter of the nearest degree of the major scale.
    const degree = steps.length === 7 ? i + 1 : (DEGREE_OF[step] as number);
    const own = spellDegree(parts.root, degree, step - (plain[degree - 1] as number));
    const spelling = singleSign(own);
    return { ...spelling, pc: pitchClass(spelling.letter, spelling.alter) };
  });
}

/** Degree on which a note so many semitones above the tonic is spelt, outside seven-note scales. */
const DEGREE_OF = [1, 2, 2, 3, 3, 4, 4, 5, 6, 6, 7, 7] as const;
