/** Chord formulas: which degrees above the root a symbol asks for, and what MusicXML calls them. */

import type { HarmonyMark } from '../music/passage';
import { LETTERS, letterIndex, letterSemitones, pitchClass } from '../music/pitch';
import type { Chord, ChordTone, Spelling } from './types';

/** A degree, altered in semitones from the major scale above the root: the minor seventh is { 7, -1 }. */
export interface FormulaTone {
  readonly degree: number;
  readonly alter: number;
}
/** Sorted by degree, then by alteration; no tone twice. */
export type Formula = readonly FormulaTone[];

const MAJOR_SCALE = [0, 2, 4, 5, 7, 9, 11] as const;

/** Reads '1 b3 5 b7 9'. For tables only. */
export function formula(text: string): Formula {
  return text.split(' ').map((word) => {
    const degree = Number(word.replace(/[b#]/g, ''));
    const alter = [...word].reduce((n, c) => n + (c === '#' ? 1 : c === 'b' ? -1 : 0), 0);
    return { degree, alter };
  });
}

export const sortFormula = (tones: readonly FormulaTone[]): Formula =>
  [...tones].sort((a, b) => a.degree - b.degree || a.alter - b.alter);

export const hasTone = (f: Formula, degree: number, alter?: number): boolean =>
  f.some((t) => t.degree === degree && (alter === undefined || t.alter === alter));

/** '1 b3 5': equal formulas have equal names. */
export const formulaName = (f: Formula): string =>
  f.map((t) => (t.alter < 0 ? 'b'.repeat(-t.alter) : '#'.repeat(t.alter)) + t.degree).join(' ');

/** The spelling of a pitch class with the smallest alteration; of two, the one nearer to the given letter. */
function plainSpelling(pc: number, near: number): Spelling {
  let best: Spelling = { letter: 'C', alter: 99 };
  let bestCost = Infinity;
  LETTERS.forEach((letter, i) => {
    const alter = ((pc - letterSemitones(letter) + 18) % 12) - 6;
    const away = Math.min((i - near + 7) % 7, (near - i + 7) % 7);
    const cost = Math.abs(alter) * 10 + away;
    if (cost < bestCost) [best, bestCost] = [{ letter, alter }, cost];
  });
  return best;
}

/** A note a degree above another, spelt on the degree's own letter; respelt where that needs three signs. */
export function spellDegree(root: Spelling, degree: number, alter: number): Spelling {
  const steps = (degree - 1) % 7;
  const letterAt = (letterIndex(root.letter) + steps) % 7;
  const letter = LETTERS[letterAt] as (typeof LETTERS)[number];
  const target = letterSemitones(root.letter) + root.alter + (MAJOR_SCALE[steps] as number) + alter;
  const own = ((((target - letterSemitones(letter)) % 12) + 18) % 12) - 6;
  return Math.abs(own) <= 2 ? { letter, alter: own } : plainSpelling(((target % 12) + 12) % 12, letterAt);
}

/** The same pitch class with at most one sign: B𝄫 becomes A. A harp string knows no double signs. */
export const singleSign = (s: Spelling): Spelling =>
  Math.abs(s.alter) <= 1 ? s : plainSpelling(pitchClass(s.letter, s.alter), letterIndex(s.letter));

/** The tones of a formula on a root. */
export function tonesOf(root: Spelling, f: Formula): ChordTone[] {
  return f.map(({ degree, alter }) => {
    const spelling = spellDegree(root, degree, alter);
    return { ...spelling, degree, pc: pitchClass(spelling.letter, spelling.alter) };
  });
}

/** What the chord does: judged by third, fifth and seventh. */
export function qualityOf(f: Formula): Chord['quality'] {
  const third = f.find((t) => t.degree === 3)?.alter;
  const seventh = f.find((t) => t.degree === 7)?.alter;
  const flatFive = hasTone(f, 5, -1) && !hasTone(f, 5, 0);
  if (third === undefined) {
    if (hasTone(f, 2) || hasTone(f, 4) || hasTone(f, 11, 0)) return 'suspended';
    return seventh === undefined ? 'power' : seventh === 0 ? 'major' : 'dominant';
  }
  if (third === -1) {
    if (!flatFive) return 'minor';
    return seventh === -1 ? 'half-diminished' : 'diminished';
  }
  if (seventh === -1) return 'dominant';
  return hasTone(f, 5, 1) && !hasTone(f, 5, 0) ? 'augmented' : 'major';
}

/** MusicXML 4.0 kind values with the degrees they hold (W3C schema, `kind-value`), in order of preference. */
const KINDS: readonly (readonly [kind: string, tones: Formula])[] = (
  [
    ['major', '1 3 5'],
    ['minor', '1 b3 5'],
    ['diminished', '1 b3 b5'],
    ['dominant', '1 3 5 b7'],
    ['augmented-seventh', '1 3 #5 b7'],
    ['major-seventh', '1 3 5 7'],
    ['augmented', '1 3 #5'],
    ['minor-seventh', '1 b3 5 b7'],
    ['half-diminished', '1 b3 b5 b7'],
    ['diminished-seventh', '1 b3 b5 bb7'],
    ['major-minor', '1 b3 5 7'],
    ['major-sixth', '1 3 5 6'],
    ['minor-sixth', '1 b3 5 6'],
    ['suspended-fourth', '1 4 5'],
    ['suspended-second', '1 2 5'],
    ['power', '1 5'],
    ['dominant-13th', '1 3 5 b7 9 11 13'],
    ['major-13th', '1 3 5 7 9 11 13'],
    ['minor-13th', '1 b3 5 b7 9 11 13'],
    ['dominant-ninth', '1 3 5 b7 9'],
    ['major-ninth', '1 3 5 7 9'],
    ['minor-ninth', '1 b3 5 b7 9'],
    ['dominant-11th', '1 3 5 b7 9 11'],
    ['major-11th', '1 3 5 7 9 11'],
    ['minor-11th', '1 b3 5 b7 9 11'],
  ] as const
).map(([kind, text]) => [kind, formula(text)]);

type Degree = HarmonyMark['degrees'][number];

/** The degrees by which a formula differs from a kind: added, altered or left out. */
function degreesFrom(kind: Formula, f: Formula): Degree[] {
  const out: Degree[] = [];
  for (const degree of [...new Set([...kind, ...f].map((t) => t.degree))].sort((a, b) => a - b)) {
    const base = kind.find((t) => t.degree === degree)?.alter;
    const wanted = f.filter((t) => t.degree === degree).map((t) => t.alter);
    const add = (alter: number): void => {
      // An added degree counts from a dominant chord, whose seventh is minor (schema, `degree-alter`).
      out.push({ value: degree, alter: degree === 7 ? alter + 1 : alter, type: 'add' });
    };
    if (base === undefined) wanted.forEach(add);
    else if (wanted.length === 0) out.push({ value: degree, alter: 0, type: 'subtract' });
    else {
      const [first, ...rest] = wanted.includes(base) ? [base, ...wanted.filter((a) => a !== base)] : wanted;
      if (first !== base) out.push({ value: degree, alter: (first as number) - base, type: 'alter' });
      rest.forEach(add);
    }
  }
  return out;
}

/** The MusicXML kind nearest to a formula (fewest degrees; ties by the table's order), and those degrees. */
export function kindOf(f: Formula): { kind: string; degrees: HarmonyMark['degrees'] } {
  let best: { kind: string; degrees: Degree[] } | null = null;
  for (const [kind, tones] of KINDS) {
    const degrees = degreesFrom(tones, f);
    if (best === null || degrees.length < best.degrees.length) best = { kind, degrees };
  }
  return best as { kind: string; degrees: Degree[] };
}
