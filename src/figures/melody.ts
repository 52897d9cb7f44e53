/** A melody that the user gives: its text form, and the notes as data. */

import * as v from 'valibot';
import type { Problem } from '../base/problem';
import { type Result, fail, ok } from '../base/result';
import { TICKS_PER_QUARTER, type Ticks, ticks } from '../base/units';
import { type Alter, LETTERS, type Letter, type Pitch, midiOf } from '../music/pitch';

export interface MelodyNote {
  readonly onset: Ticks;
  readonly duration: Ticks;
  readonly pitch: Pitch;
}

const ticksSchema = (least: number) =>
  v.pipe(
    v.number(),
    v.integer(),
    v.minValue(least),
    v.transform((n) => ticks(n)),
  );
/** Notes as data, by onset, none before the end of the one before it. */
export const melodySchema = v.pipe(
  v.array(
    v.object({
      onset: ticksSchema(0),
      duration: ticksSchema(1),
      pitch: v.object({
        letter: v.picklist(LETTERS),
        alter: v.picklist([-1, 0, 1]),
        octave: v.pipe(v.number(), v.integer(), v.minValue(1), v.maxValue(7)),
      }),
    }),
  ),
  v.minLength(1),
  v.check(
    (notes) =>
      notes.every((n, i) => {
        const next = notes[i + 1];
        return next === undefined || next.onset >= n.onset + n.duration;
      }),
    'notes one after another',
  ),
);

const ALTERS: Readonly<Record<string, Alter>> = { '': 0, b: -1, '♭': -1, '#': 1, '♯': 1, n: 0, '♮': 0 };
const WORD = /^(?:([A-Ga-g])([b#♭♯n♮]?)([1-7])|([rR]))(?::(\d+(?:\.\d+)?)(?:\/(\d+))?)?$/;
/** The lowest note: the right hand's lowest string, E2 (trade figures); the highest string is G7. */
const [LOWEST, HIGHEST] = [40, 103];

const mistake = (word: string, place: number, limit: string): Problem => ({
  code: 'melody-text',
  severity: 'error',
  where: { kind: 'file' },
  value: word,
  limit,
  source: 'the melody text',
  detail: { place },
});

/**
 * Reads 'C5:2 D5:1 Eb5:1/2 r:1.5 | F5': a note or rest `r` and its length in quarter notes (1 where none stands; 1/3 for
 * a triplet quarter of half). Bar lines are for the eye. Fails with one problem a word: `value` the word, `detail.place` its
 * number from 1, `limit` what should stand there.
 */
export function parseMelody(text: string): Result<readonly MelodyNote[]> {
  const notes: MelodyNote[] = [];
  const problems: Problem[] = [];
  let at = 0;
  text
    .split(/[\s|]+/)
    .filter((word) => word !== '')
    .forEach((word, i) => {
      const m = WORD.exec(word);
      if (m === null) {
        problems.push(mistake(word, i + 1, 'a note such as C5:2, Eb5 or F#4:1/2, or a rest such as r:1'));
        return;
      }
      const length = (Number(m[5] ?? 1) * TICKS_PER_QUARTER) / Number(m[6] ?? 1);
      if (!Number.isInteger(length) || length < TICKS_PER_QUARTER / 8) {
        problems.push(mistake(word, i + 1, 'a length of a thirty-second or more that can be written'));
        return;
      }
      if (m[4] === undefined) {
        const pitch: Pitch = {
          letter: (m[1] as string).toUpperCase() as Letter,
          alter: ALTERS[m[2] ?? ''] ?? 0,
          octave: Number(m[3]),
        };
        if (midiOf(pitch) < LOWEST || midiOf(pitch) > HIGHEST)
          problems.push(mistake(word, i + 1, 'a note that the right hand reaches, from E2 to G7'));
        notes.push({ onset: ticks(at), duration: ticks(length), pitch });
      }
      at += length;
    });
  if (notes.length === 0 && problems.length === 0)
    problems.push(mistake('', 1, 'at least one note, such as C5:2'));
  return problems.length > 0 ? fail(...problems) : ok(notes);
}

/** One sentence for a mistake in the text. */
export const melodySentence = (p: Problem): string =>
  p.value === ''
    ? `The melody is empty: there should be ${p.limit}.`
    : `Word ${p.detail?.place} of the melody, “${p.value}”, should be ${p.limit}.`;
