/** A passage as a sound file: what the terminal and the page write, byte for byte the same. */

import type { PlayedNote } from '../harp/performance';
import { DRY, HOUSE, mix } from './mix';
import { writeWav } from './wav';

export interface FileOptions {
  /** Leaves out body, room and unevenness. */
  readonly dry?: boolean;
  /** 16 unless given. */
  readonly bits?: 16 | 24;
}

export interface SoundFile {
  readonly bytes: Uint8Array;
  readonly seconds: number;
  /** The highest sample, 0 … 0.89. */
  readonly peak: number;
}

/** A stereo WAV file at 48 kHz. Same notes, same bytes. */
export function renderWav(notes: readonly PlayedNote[], options: FileOptions = {}): SoundFile {
  const { left, right, sampleRate, peak } = mix(notes, options.dry === true ? DRY : HOUSE());
  const bytes = writeWav(left, right, sampleRate, options.bits === undefined ? {} : { bits: options.bits });
  return { bytes, seconds: left.length / sampleRate, peak };
}
