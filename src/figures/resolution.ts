/** Tones that want to go on: sevenths fall a step, leading tones rise a half-step (common practice of part writing). */

import type { Chord } from '../harmony/types';
import { pitchClass } from '../music/pitch';

/**
 * For each pitch class of a chord that wants to go on, the steps in semitones that satisfy it in the next chord, 0
 * where it may stay; an empty list where it does not ask. Twelve entries.
 */
export type Tendencies = readonly (readonly number[])[];

const NONE: readonly number[] = [];
const FREE: Tendencies = Array.from({ length: 12 }, () => NONE);

/**
 * What the tones of a chord ask of the next:
 * - its seventh falls a step, or stays where the next chord has it; a major seventh may rise to its root;
 * - the third of a dominant whose root falls a fifth (or slips a half-step) rises a half-step, stays, or slides down
 *   one to the next seventh;
 * - nothing where the next chord has none of these, and nothing from a chord to itself.
 */
export function tendencies(from: Chord, to: Chord): Tendencies {
  if (from.text === to.text) return FREE;
  const next = new Set(to.tones.map((t) => t.pc));
  const root = pitchClass(from.root.letter, from.root.alter);
  const goal = pitchClass(to.root.letter, to.root.alter);
  const fall = (root - goal + 12) % 12;
  const out: (readonly number[])[] = [...FREE];
  const ask = (pc: number, steps: readonly number[]): void => {
    out[pc] = steps.filter((s) => next.has((pc + s + 12) % 12));
  };
  for (const tone of from.tones) {
    const above = (tone.pc - root + 12) % 12;
    if (tone.degree === 7) ask(tone.pc, above === 11 ? [-1, -2, 0, 1] : [-1, -2, 0]);
    else if (tone.degree === 3 && from.quality === 'dominant' && (fall === 7 || fall === 1))
      ask(tone.pc, [1, 0, -1]);
  }
  return out;
}

/** Notes of a chord that ask to go on, and how many of them do in the next. Midi keys. */
export function resolved(
  from: readonly number[],
  to: readonly number[],
  asks: Tendencies,
): { readonly asked: number; readonly kept: number } {
  let [asked, kept] = [0, 0];
  for (const m of from) {
    const steps = asks[m % 12] as readonly number[];
    if (steps.length === 0) continue;
    asked++;
    if (steps.some((s) => to.includes(m + s))) kept++;
  }
  return { asked, kept };
}
