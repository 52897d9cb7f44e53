/** A player's unevenness: no two strokes quite together, none quite alike. Seeded; leave it out for exactness. */

import type { Random } from '../base/random';
import { micros } from '../base/units';
import type { PlayedNote } from '../harp/performance';
import { exp } from './series';

/** Farthest from the written instant, in microseconds (common practice: a trained player keeps within some 10 ms). */
export const UNEVEN_MICROS = 7_000;
/** Farthest from the dynamic's level, in hundredths of a decibel. */
export const UNEVEN_CENTIBELS = 150;
/** ln 10 / 2000: hundredths of a decibel to nepers. */
const CENTIBEL = 0.001151292546497023;

/** A whole number from −limit to limit, those near zero likelier. */
const around = (random: Random, limit: number): number =>
  limit < 1 ? 0 : random.below(limit + 1) + random.below(limit + 1) - limit;

/**
 * The same strokes, each moved by at most 7 ms and 1.5 dB. Order is kept: no stroke moves by more than a third of the
 * way to the one before or after it at another instant, to its own release, or to a bend.
 */
export function uneven(notes: readonly PlayedNote[], random: Random): PlayedNote[] {
  const sorted = [...notes].sort(
    (a, b) => a.onset - b.onset || a.string - b.string || (a.id < b.id ? -1 : 1),
  );
  const instants = [...new Set(sorted.map((n) => n.onset as number))];
  const index = new Map(instants.map((at, i) => [at, i]));
  return sorted.map((note) => {
    const i = index.get(note.onset) as number;
    const gaps = [
      note.onset * 3,
      note.onset - (instants[i - 1] ?? -Infinity),
      (instants[i + 1] ?? Infinity) - note.onset,
      (note.release ?? Infinity) - note.onset,
      (note.bends?.[0]?.at ?? Infinity) - note.onset,
    ];
    const limit = Math.floor(Math.min(UNEVEN_MICROS, ...gaps.map((gap) => gap / 3)));
    return {
      ...note,
      onset: micros(note.onset + around(random, limit)),
      touch: (note.touch ?? 1) * exp(CENTIBEL * around(random, UNEVEN_CENTIBELS)),
    };
  });
}
