/** The one wrapper round tonal: every argument is validated before the call, every answer copied after it. */

import { Chord as TonalChord, ChordType, Note, ScaleType } from 'tonal';

import { LETTERS, type Letter } from './pitch';

/** A spelt pitch class. */
export interface SpeltTone {
  readonly letter: Letter;
  readonly alter: number;
}

const ROOT = /^[A-G](?:bb?|##?)?$/;
const INTERVAL = /^(\d+)([dmPMA])$/;

/** tonal's chord suffixes as a set, so that nothing outside its own dictionary is ever asked of its parser. */
const suffixes: ReadonlySet<string> = new Set(ChordType.all().flatMap((type) => [...type.aliases]));

/** Every chord suffix that tonal knows, in its order: '' , 'm', '7', … */
export const tonalSuffixes = (): string[] => [...suffixes];

/**
 * The tones that tonal gives a chord suffix on a root ('Bb', 'm7'), spelt from the root, in tonal's order; null
 * where its dictionary does not hold the suffix exactly (its own parser guesses: it reads `Do` as D diminished).
 * ASCII. An alteration may exceed two signs.
 */
export function tonalChordTones(root: string, suffix: string): SpeltTone[] | null {
  if (!ROOT.test(root) || !suffixes.has(suffix)) return null;
  const chord = TonalChord.getChord(suffix, root);
  if (chord.empty) return null;
  const tones = chord.notes.map(toneOf);
  return tones.every((tone) => tone !== null) ? tones : null;
}

function toneOf(name: string): SpeltTone | null {
  const note = Note.get(name);
  const letter = LETTERS.find((candidate) => candidate === note.letter);
  return note.empty || letter === undefined ? null : { letter, alter: note.alt };
}

/** Semitones above the tonic of each step of a scale in tonal's dictionary; null for a name it does not hold. */
export function scaleSemitones(name: string): number[] | null {
  const type = ScaleType.get(name);
  if (type.empty || !type.intervals.every((interval) => INTERVAL.test(interval))) return null;
  return [...type.chroma].flatMap((bit, i) => (bit === '1' ? [i] : []));
}
