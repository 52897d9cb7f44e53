/** Pitch and spelling: a letter, an alteration and an octave. C4 is middle C (scientific pitch notation). */

export const LETTERS = ['C', 'D', 'E', 'F', 'G', 'A', 'B'] as const;
export type Letter = (typeof LETTERS)[number];

/** Semitones by which a letter is altered: -2 … 2. A harp string knows only -1, 0, 1. */
export type Alter = -2 | -1 | 0 | 1 | 2;

export interface Pitch {
  readonly letter: Letter;
  readonly alter: Alter;
  /** Scientific octave number of the letter: B♯3 sounds as C4 and has octave 3. */
  readonly octave: number;
}

const SEMITONES: Readonly<Record<Letter, number>> = { C: 0, D: 2, E: 4, F: 5, G: 7, A: 9, B: 11 };
const SIGNS = ['𝄫', '♭', '', '♯', '𝄪'] as const;
const ASCII_SIGNS = ['bb', 'b', '', '#', '##'] as const;

/** Position of the letter in its octave, C = 0 … B = 6. */
export const letterIndex = (letter: Letter): number => LETTERS.indexOf(letter);

/** Semitones of a natural letter above C, 0–11. */
export const letterSemitones = (letter: Letter): number => SEMITONES[letter];

/** MIDI key number (A4 = 69, C4 = 60); may lie outside 0–127. */
export const midiOf = (p: Pitch): number => 12 * (p.octave + 1) + SEMITONES[p.letter] + p.alter;

/** Pitch class 0–11 of a letter and alteration. */
export const pitchClass = (letter: Letter, alter: number): number => (SEMITONES[letter] + alter + 24) % 12;

/** Steps of the staff from C0: octave × 7 + letter. The difference of two is an interval's number less one. */
export const diatonicIndex = (p: Pitch): number => 7 * p.octave + letterIndex(p.letter);

/** 'E♭', 'F♯', 'G'. */
export const spellingName = (letter: Letter, alter: number): string => letter + (SIGNS[alter + 2] ?? '');

/** 'E♭4'. */
export const pitchName = (p: Pitch): string => spellingName(p.letter, p.alter) + p.octave;

/** 'Eb4', plain ASCII. */
export const asciiPitchName = (p: Pitch): string => p.letter + (ASCII_SIGNS[p.alter + 2] ?? '') + p.octave;

/** The spellings of a MIDI key with an alteration of at most one: one for D, G, A natural, two for the rest. */
export function harpSpellings(midi: number): Pitch[] {
  const out: Pitch[] = [];
  for (const alter of [0, -1, 1] as const) {
    const natural = midi - alter;
    const letter = LETTERS.find((l) => SEMITONES[l] === ((natural % 12) + 12) % 12);
    if (letter !== undefined) out.push({ letter, alter, octave: Math.floor(natural / 12) - 1 });
  }
  return out;
}

/** The pitch one octave (or `octaves`) away, same spelling. */
export const octaveShift = (p: Pitch, octaves: number): Pitch => ({ ...p, octave: p.octave + octaves });
