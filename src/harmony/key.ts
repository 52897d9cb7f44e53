/** Keys: read from a name, or guessed from the chords. Integers only. */

import { type Letter, LETTERS, letterIndex, letterSemitones, pitchClass } from '../music/pitch';
import { singleSign } from './formula';
import { plainSigns } from './grammar';
import type { Chord, Progression, Spelling } from './types';

export type Key = Progression['key'];

/** Place of each natural letter on the line of fifths, C = 0. */
const FIFTHS: Readonly<Record<Letter, number>> = { F: -1, C: 0, G: 1, D: 2, A: 3, E: 4, B: 5 };
const LINE = ['F', 'C', 'G', 'D', 'A', 'E', 'B'] as const;

/** Fifths of the key signature of a tonic: E♭ major -3, F♯ minor 3. May lie outside -7 … 7. */
export const fifthsOf = (tonic: Spelling, mode: Key['mode']): number =>
  FIFTHS[tonic.letter] + 7 * tonic.alter - (mode === 'minor' ? 3 : 0);

/** A key whose signature fits on the staff: G♯ major is read as A♭ major. */
export function makeKey(tonic: Spelling, mode: Key['mode']): Key {
  let own = singleSign(tonic);
  let fifths = fifthsOf(own, mode);
  if (Math.abs(fifths) > 7) {
    const letter = LETTERS[(letterIndex(own.letter) + (fifths > 0 ? 1 : 6)) % 7] as Letter;
    const pc = pitchClass(own.letter, own.alter);
    own = { letter, alter: ((pc - letterSemitones(letter) + 18) % 12) - 6 };
    fifths = fifthsOf(own, mode);
  }
  return { tonic: own, mode, fifths };
}

/**
 * A key by name: 'Eb', 'c' (small letter: minor), 'F# minor', 'B♭ major', 'Am', 'a min'. Null where it cannot be
 * read.
 */
export function parseKey(text: string): Key | null {
  const m = /^([A-Ga-g])(b|#)?(?:[\s-]*(major|maj|minor|min|M|m))?$/i.exec(plainSigns(text.trim()));
  if (m === null) return null;
  const typed = m[1] as string;
  const letter = LETTERS.find((l) => l === typed.toUpperCase()) as Letter;
  const word = m[3];
  let mode: Key['mode'] = typed === typed.toLowerCase() ? 'minor' : 'major';
  if (word !== undefined) mode = word === 'm' || /^mi/i.test(word) ? 'minor' : 'major';
  return makeKey({ letter, alter: m[2] === undefined ? 0 : m[2] === '#' ? 1 : -1 }, mode);
}

/** Modes by how many fifths their signature lies off that of major or minor. */
const MODES: Readonly<Record<Key['mode'], Readonly<Record<number, string>>>> = {
  major: { 0: 'major', 1: 'lydian', [-1]: 'mixolydian' },
  minor: { 0: 'minor', 1: 'dorian', [-1]: 'phrygian' },
};

/** 'Eb major', 'D dorian', for messages. */
export const keyName = ({ tonic, mode, fifths }: Key): string =>
  `${tonic.letter}${tonic.alter < 0 ? 'b' : tonic.alter > 0 ? '#' : ''} ${MODES[mode][fifths - fifthsOf(tonic, mode)] ?? mode}`;

/** The letters of a key signature with their alterations. */
export function signature(fifths: number): Record<Letter, number> {
  const out = {} as Record<Letter, number>;
  LINE.forEach((letter, i) => {
    // The n-th sharp is at place n - 1 of the line from F; flats come from its far end.
    out[letter] = fifths > i ? 1 : -fifths > 6 - i ? -1 : 0;
  });
  return out;
}

/** Points of the guess, per chord unless said otherwise. Chosen by hand; whole numbers. */
const POINTS = {
  /** A tone of the key, spelt as in the key. */
  tone: 4,
  /** A tone of the key by sound only. */
  homophone: 3,
  /** A tone outside the key. */
  foreign: -5,
  /** The raised seventh of minor, in a chord on the fifth or seventh degree. */
  leading: 4,
  tonic: 4,
  dominant: 2,
  subdominant: 1,
  /** Once each, in units of the longest chord: the chord that opens, the one that closes, a fall V–I. */
  first: 12,
  last: 20,
  cadence: 8,
} as const;

interface Heard {
  readonly chord: Chord | null;
  /** Any unit; equal weights where absent. */
  readonly duration?: number;
}

/** Whether a chord can be the tonic of a key: root and third agree (suspended and power chords by root alone). */
function isTonic(chord: Chord, key: Key): boolean {
  if (
    chord.root.letter !== key.tonic.letter &&
    pitchClass(chord.root.letter, chord.root.alter) !== tonicPc(key)
  )
    return false;
  if (pitchClass(chord.root.letter, chord.root.alter) !== tonicPc(key)) return false;
  const third = chord.tones.find((t) => t.degree === 3);
  if (third === undefined) return true;
  return (third.pc - tonicPc(key) + 12) % 12 === (key.mode === 'minor' ? 3 : 4);
}

const tonicPc = (key: Key): number => pitchClass(key.tonic.letter, key.tonic.alter);

interface Candidate {
  readonly key: Key;
  readonly signs: Readonly<Record<Letter, number>>;
  readonly pcs: ReadonlySet<number>;
}

/** The thirty keys, those with fewest signs first, flats before sharps, major before minor: ties fall so. */
const KEYS: readonly Candidate[] = Array.from({ length: 15 }, (_, i) =>
  i % 2 === 1 ? -(i + 1) / 2 : i / 2,
).flatMap((fifths) =>
  (['major', 'minor'] as const).map((mode) => {
    const place = fifths + 1 + (mode === 'minor' ? 3 : 0);
    const letter = LINE[((place % 7) + 7) % 7] as Letter;
    const signs = signature(fifths);
    return {
      key: { tonic: { letter, alter: Math.floor(place / 7) }, mode, fifths },
      signs,
      pcs: new Set(LETTERS.map((l) => pitchClass(l, signs[l]))),
    };
  }),
);

function scoreChord(chord: Chord, { key, signs, pcs }: Candidate): number {
  const tonic = tonicPc(key);
  const degree = (pitchClass(chord.root.letter, chord.root.alter) - tonic + 12) % 12;
  let score = 0;
  for (const tone of chord.tones) {
    const above = (tone.pc - tonic + 12) % 12;
    if (pcs.has(tone.pc)) score += signs[tone.letter] === tone.alter ? POINTS.tone : POINTS.homophone;
    else if (key.mode === 'minor' && above === 11 && (degree === 7 || degree === 11)) score += POINTS.leading;
    else score += POINTS.foreign;
  }
  // A large chord says no more of the key than a triad.
  score = Math.trunc((score * 3) / Math.max(3, chord.tones.length));
  if (isTonic(chord, key)) score += POINTS.tonic;
  else if (degree === 7 && chord.quality !== 'minor') score += POINTS.dominant;
  else if (degree === 5) score += POINTS.subdominant;
  return score;
}

/**
 * The same key under the signature of a neighbouring mode, where every tone is in it (a raised seventh of minor aside)
 * and one is not in the key's own, whose tone there is never heard: D minor with B natural alone is dorian, C major
 * with B flat alone mixolydian.
 */
function modal(key: Key, chords: readonly Chord[]): Key {
  const tonic = tonicPc(key);
  const heard = new Set(chords.flatMap((c) => c.tones.map((t) => t.pc)));
  const classes = (fifths: number): Set<number> => {
    const signs = signature(fifths);
    return new Set(LETTERS.map((l) => pitchClass(l, signs[l])));
  };
  const own = classes(key.fifths);
  for (const by of [1, -1]) {
    const fifths = key.fifths + by;
    if (Math.abs(fifths) > 7) continue;
    const other = classes(fifths);
    const leading = (pc: number): boolean => key.mode === 'minor' && (pc - tonic + 12) % 12 === 11;
    const fits = [...heard].every((pc) => other.has(pc) || leading(pc));
    if (fits && [...heard].some((pc) => !own.has(pc) && !leading(pc))) return { ...key, fifths };
  }
  return key;
}

/**
 * The key that fits the chords best: tones in the key, the tonic chord (above all first and last), dominant and
 * fall of a fifth on to the tonic, the root's own spelling; of equals the one with fewest signs, flats before
 * sharps (flat keys ring fullest on the harp), major before minor. A piece in a mode keeps its tonic and takes the
 * mode's signature. C major where nothing sounds. Deterministic.
 */
export function estimateKey(chords: readonly Heard[]): Key {
  const heard = chords.flatMap((c) =>
    c.chord === null ? [] : [{ chord: c.chord, weight: c.duration ?? 1 }],
  );
  const longest = heard.reduce((most, h) => Math.max(most, h.weight), 1);
  // The same chord comes often: its thirty scores are counted once.
  const known = new Map<string, readonly number[]>();
  const totals = KEYS.map(() => 0);
  const give = (k: number, points: number): void => {
    totals[k] = (totals[k] as number) + points;
  };
  heard.forEach(({ chord, weight }, i) => {
    const name = `${chord.root.letter}${chord.root.alter}:${chord.tones.map((t) => t.pc).join()}`;
    const scores = known.get(name) ?? KEYS.map((candidate) => scoreChord(chord, candidate));
    known.set(name, scores);
    scores.forEach((score, k) => give(k, weight * score));
    const before = heard[i - 1]?.chord;
    const ends = i === 0 || i === heard.length - 1;
    if (!ends && before?.quality !== 'dominant') return;
    KEYS.forEach(({ key }, k) => {
      if (!isTonic(chord, key)) return;
      if (i === 0) give(k, longest * POINTS.first);
      if (i === heard.length - 1) give(k, longest * POINTS.last);
      if (before?.quality !== 'dominant') return;
      const fall = (pitchClass(before.root.letter, before.root.alter) - tonicPc(key) + 12) % 12;
      if (fall === 7) give(k, longest * POINTS.cadence);
    });
  });
  const best = (KEYS[totals.indexOf(Math.max(...totals))] as Candidate).key;
  return modal(
    best,
    heard.map((h) => h.chord),
  );
}
