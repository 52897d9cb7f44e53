/** One chord symbol: root, suffix, slash bass. */

import { fail, ok, type Result } from '../base/result';
import { LETTERS, type Letter, spellingName } from '../music/pitch';
import { type Formula, kindOf, qualityOf, singleSign, tonesOf } from './formula';
import { plainSigns } from './grammar';
import { nearestChord } from './nearest';
import { parseSuffix, suffixOf } from './suffix';
import type { Chord, Spelling } from './types';

const ROOT = /^([A-G])(b|#)?/;
const BASS = /\/([A-G])(b|#)?$/;
/** No chord symbol is longer, in code units; what is, is refused unread. */
export const LONGEST_WORD = 60;
const NO_CHORD = /^n\.?c\.?$/i;

const note = (letter: string, sign: string | undefined): Spelling => ({
  letter: LETTERS.find((l) => l === letter) as Letter,
  alter: sign === 'b' ? -1 : sign === '#' ? 1 : 0,
});

/** True for the ways of writing that nothing sounds: N.C., NC, n.c. */
export const isNoChord = (text: string): boolean => NO_CHORD.test(text);

/** The note name at the end of a word behind a slash (not the 9 of 6/9), and what stands before it. */
export function splitBass(plain: string): { head: string; bass: Spelling | null } {
  const m = BASS.exec(plain);
  return m === null
    ? { head: plain, bass: null }
    : { head: plain.slice(0, m.index), bass: note(m[1] as string, m[2]) };
}

/** The root at the head of a word in plain signs, and what follows it. */
export function splitRoot(plain: string): { root: Spelling; suffix: string } | null {
  const m = ROOT.exec(plain);
  return m === null ? null : { root: note(m[1] as string, m[2]), suffix: plain.slice(m[0].length) };
}

/** A chord from its parts. A root with a double sign is respelt, as no harp string has one. */
export function buildChord(text: string, root: Spelling, f: Formula, bass: Spelling | null): Chord {
  const own = singleSign(root);
  const same = bass !== null && bass.letter === own.letter && bass.alter === own.alter;
  return {
    text,
    root: own,
    bass: same ? null : bass,
    tones: tonesOf(own, f),
    quality: qualityOf(f),
    ...kindOf(f),
  };
}

/** The chord of a letter symbol, or null where the grammar does not read it. Never fails otherwise. */
export function readChord(text: string): Chord | null {
  const word = text.trim();
  // `Do` is the syllable, not D diminished.
  if (word === 'Do' || word.length > LONGEST_WORD) return null;
  const { head, bass } = splitBass(plainSigns(word));
  const parts = splitRoot(head);
  const f = parts === null ? null : parseSuffix(parts.suffix);
  return parts === null || f === null ? null : buildChord(word, parts.root, f, bass);
}

/**
 * One chord symbol with letter root: 'E♭maj7', 'C7(b9,#11)/E', 'D6/9/A'. Fails with one `unknown-chord` problem
 * whose `limit` is the nearest symbol that would be right. (N.C. is not a chord: it fails here too, and is read
 * by `parseProgression`.)
 */
export function parseChord(text: string): Result<Chord> {
  const chord = readChord(text);
  if (chord !== null) return ok(chord);
  const value = text.trim();
  const start = text.length - text.trimStart().length;
  const nearest = nearestChord(value);
  return fail({
    code: 'unknown-chord',
    severity: 'error',
    where: { kind: 'text', start, end: start + value.length },
    value,
    limit: nearest,
    source: 'common practice',
    detail: { nearest },
  });
}

/** The formula of a chord, back from its tones. */
export function formulaOf(chord: Chord): Formula {
  return chord.tones.map((tone) => {
    const root = chord.tones[0]?.pc ?? 0;
    const plain = [0, 2, 4, 5, 7, 9, 11][(tone.degree - 1) % 7] as number;
    const above = (((tone.pc - root - plain) % 12) + 18) % 12;
    return { degree: tone.degree, alter: above - 6 };
  });
}

/**
 * The plain symbol of a chord in this grammar, with ♭ and ♯: what `parseChord` reads back into the same tones.
 * For a chord outside the grammar's reach (none that `parseChord` makes) the root alone.
 */
export function chordSymbol(chord: Chord): string {
  const suffix = suffixOf(formulaOf(chord)) ?? '';
  const bass = chord.bass === null ? '' : `/${spellingName(chord.bass.letter, chord.bass.alter)}`;
  return (
    spellingName(chord.root.letter, chord.root.alter) +
    suffix.replace(/b(?=\d)/g, '♭').replace(/#(?=\d)/g, '♯') +
    bass
  );
}

/** Pitch classes of the chord's tones, ascending, each once; with the slash bass where asked. */
export function chordPitchClasses(chord: Chord): number[] {
  return [...new Set(chord.tones.map((t) => t.pc))].sort((a, b) => a - b);
}
