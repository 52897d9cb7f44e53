/** The strings of a pedal harp: a letter and an octave each, counted from C1. */

import { LETTERS, type Letter, type Pitch, diatonicIndex } from '../music/pitch';

/** Index of a string: 0 is C1, 1 is D1 … 46 is G7 on the concert harp. Differences count letters. */
export type StringIndex = number;

/** The highest string of the concert harp, G7 (Wikipedia, "Pedal harp"). */
export const TOP_STRING: StringIndex = 46;

export const stringOf = (p: Pitch): StringIndex => diatonicIndex(p) - 7;
export const stringLetter = (s: StringIndex): Letter => LETTERS[((s % 7) + 7) % 7] as Letter;
export const stringOctave = (s: StringIndex): number => Math.floor(s / 7) + 1;
/** 'C4': the string's name, without its pedal's position. */
export const stringName = (s: StringIndex): string => stringLetter(s) + stringOctave(s);
/** The pitch of a string with its pedal at a position. */
export const stringPitch = (s: StringIndex, position: -1 | 0 | 1): Pitch => ({
  letter: stringLetter(s),
  alter: position,
  octave: stringOctave(s),
});
