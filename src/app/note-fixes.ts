/** Spellings that the user fixed, note by note: what can be asked of one, what was asked, and the list with it. */

import * as v from 'valibot';
import type { Ticks } from '../base/units';
import { type Bar, barAndBeat } from '../music/metre';
import { type Pitch, harpSpellings, midiOf, pitchName } from '../music/pitch';
import { type NoteFix, noteFixSchema } from '../proposals/note-fix';

/** The list of fixes that belongs to what lies on the desk, and the way to change it. */
export interface Fixing {
  readonly fixes: readonly NoteFix[];
  readonly set: (fixes: readonly NoteFix[]) => void;
}

/** The fix that asks for this pitch at this place; null where the bar has no number to name it by. */
export function fixAt(bars: readonly Bar[], onset: Ticks, pitch: Pitch): NoteFix | null {
  const { bar, beat } = barAndBeat(bars, onset);
  const { letter, alter, octave } = pitch;
  const fix = { bar, beat: Math.round(beat * 1000) / 1000, letter, alter, octave };
  return v.is(noteFixSchema, fix) ? (fix as NoteFix) : null;
}

const samePlace = (a: NoteFix, b: NoteFix): boolean => a.bar === b.bar && Math.abs(a.beat - b.beat) <= 0.0011;
const pitchOf = ({ letter, alter, octave }: NoteFix): Pitch | null =>
  octave === null ? null : { letter, alter, octave };
/** Whether two fixes speak of one note: the same place, the same sound. */
const sameNote = (a: NoteFix, b: NoteFix): boolean => {
  const [p, q] = [pitchOf(a), pitchOf(b)];
  return samePlace(a, b) && p !== null && q !== null && midiOf(p) === midiOf(q);
};

/** What was asked of the note that this fix names, or null. */
export const fixOf = (fixes: readonly NoteFix[], of: NoteFix): NoteFix | null =>
  fixes.find((f) => sameNote(f, of)) ?? null;

/** With this fix in place of what was asked of its note before. */
export const withFix = (fixes: readonly NoteFix[], fix: NoteFix): NoteFix[] => [
  ...fixes.filter((f) => !sameNote(f, fix)),
  fix,
];

/** With nothing asked of the note that this fix names. */
export const withoutFix = (fixes: readonly NoteFix[], fix: NoteFix): NoteFix[] =>
  fixes.filter((f) => !sameNote(f, fix));

export interface SpellingChoice {
  readonly name: string;
  readonly fix: NoteFix;
  /** How the note is spelt now. */
  readonly now: boolean;
  /** What the user asked for. */
  readonly asked: boolean;
}

/** The spellings that a pedal can make of a note, its present one first; empty where it cannot be fixed. */
export function spellingChoices(
  { fixes }: Fixing,
  bars: readonly Bar[],
  onset: Ticks,
  pitch: Pitch,
): readonly SpellingChoice[] {
  const same = (p: Pitch): boolean => p.letter === pitch.letter && p.alter === pitch.alter;
  return harpSpellings(midiOf(pitch))
    .toSorted((a, b) => Number(same(b)) - Number(same(a)))
    .flatMap((p): SpellingChoice[] => {
      const fix = fixAt(bars, onset, p);
      if (fix === null) return [];
      const asked = fixOf(fixes, fix);
      return [
        {
          name: pitchName(p),
          fix,
          now: same(p),
          asked: asked !== null && asked.letter === fix.letter && asked.alter === fix.alter,
        },
      ];
    });
}
