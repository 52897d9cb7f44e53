/** A progression cut into the stretches that a figure fills: one chord inside one bar. */

import { type Ticks, ticks } from '../base/units';
import type { Chord, Progression } from '../harmony/types';
import { barTicks, beatTicks } from '../music/metre';
import { type SpelledChord, spellChord } from './spelling';

export interface Segment {
  readonly onset: Ticks;
  readonly duration: Ticks;
  readonly bar: number;
  readonly chord: Chord;
  readonly spelled: SpelledChord;
  /** Not the continuation of the same chord from the bar or the beat before. */
  readonly fresh: boolean;
  /** The last that sounds. */
  readonly last: boolean;
}

/** Stretches in order; N.C. leaves gaps. A chord symbol repeated without a break inside a bar is one stretch. */
export function segmentsOf(progression: Progression): Segment[] {
  const bar = barTicks(progression.metre);
  const out: Segment[] = [];
  let previousText: string | null = null;
  for (const placed of progression.chords) {
    const { chord } = placed;
    if (chord === null) {
      previousText = null;
      continue;
    }
    const end = placed.onset + placed.duration;
    for (let at: number = placed.onset; at < end;) {
      const index = Math.floor(at / bar);
      const stop = Math.min(end, (index + 1) * bar);
      const before = out.at(-1);
      const same = chord.text === previousText;
      if (same && before !== undefined && before.bar === index && before.onset + before.duration === at) {
        out[out.length - 1] = { ...before, duration: ticks(before.duration + stop - at) };
      } else {
        out.push({
          onset: ticks(at),
          duration: ticks(stop - at),
          bar: index,
          chord,
          spelled: spellChord(chord),
          fresh: !same,
          last: false,
        });
      }
      previousText = chord.text;
      at = stop;
    }
  }
  const final = out.at(-1);
  if (final !== undefined) out[out.length - 1] = { ...final, last: true };
  return out;
}

/** Step lengths that print cleanly: thirty-seconds to whole notes, dots and triplets. */
const STEPS = [
  420, 560, 840, 1120, 1260, 1680, 2240, 2520, 3360, 4480, 5040, 6720, 7560, 10080, 13440, 15120, 20160,
];

/**
 * The step for a stretch: the shortest printable length that is not under `wished` and divides the stretch;
 * the whole stretch where none does.
 */
export function stepFor(duration: number, wished: number): Ticks {
  for (const step of STEPS)
    if (step >= wished && step <= duration && duration % step === 0) return ticks(step);
  return ticks(duration);
}

/** Ticks of a step for a number of steps to the felt beat; 0 asks for the whole stretch. */
export function wishedStep(progression: Progression, perBeat: number): number {
  return perBeat === 0 ? Infinity : beatTicks(progression.metre) / perBeat;
}
