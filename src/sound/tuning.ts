/** Frequencies of twelve-tone equal temperament on A4 = 440 Hz (ISO 16), built by multiplication. */

import { type Hertz, hertz } from '../base/units';
import { type StringIndex, stringPitch } from '../harp/strings';
import type { Position } from '../harp/setting';
import { midiOf } from '../music/pitch';
import { powerOfTwo } from './series';

/** The twelfth root of two. */
export const SEMITONE = 1.0594630943592953;

/** Ratios of 0 … 11 semitones above A. */
const STEPS: readonly number[] = (() => {
  const out = [1];
  for (let i = 1; i < 12; i++) out.push((out[i - 1] as number) * SEMITONE);
  return out;
})();

/** Frequency of a MIDI key number (A4 = 69). */
export function keyFrequency(midi: number): Hertz {
  const above = midi - 69;
  const octave = Math.floor(above / 12);
  return hertz(440 * powerOfTwo(octave) * (STEPS[above - 12 * octave] as number));
}

/** Frequency to which a string is tuned with its pedal (or its tuning key) at a position. */
export const stringFrequency = (string: StringIndex, position: Position): Hertz =>
  keyFrequency(midiOf(stringPitch(string, position)));
