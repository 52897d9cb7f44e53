/** Mixes played notes offline into stereo samples: the same bits in page and terminal. */

import { type PlayedNote, noteGain, voiceKey, voiceOf } from './note';
import { renderString } from './render-string';
import { DAMP_FADE, REPLUCK_FADE, panGains, panOf } from './stereo';
import { type Bank, createBank } from './voice-bank';

export interface MixOptions {
  /** Samples a second; 48,000 unless given. */
  readonly sampleRate?: number;
  /** False leaves out the body. */
  readonly body?: boolean;
  /** Ring kept after the last stroke, in seconds; 6 unless given. */
  readonly tail?: number;
  /** Rendered strings to reuse between mixes of one sample rate and body. */
  readonly bank?: Bank<Float32Array>;
}

export interface Mix {
  readonly left: Float32Array;
  readonly right: Float32Array;
  readonly sampleRate: number;
  /** The highest sample of either side, 0 … CEILING. */
  readonly peak: number;
}

/** −1 dBFS: a mix that would be louder is made quieter as a whole. */
export const CEILING = 0.8913;
/** Headroom for chords: one loud string peaks at about a third. */
const MASTER = 0.5;
const BANK_BYTES = 90_000_000;

const smooth = (x: number): number => x * x * (3 - 2 * x);

export function createVoiceBank(): Bank<Float32Array> {
  return createBank<Float32Array>(BANK_BYTES, (samples) => samples.byteLength);
}

/**
 * Every note at its sample, ringing until it has decayed, is damped or its string is plucked again, with a place in
 * the stereo picture. No voice is ever dropped. Silence for no notes.
 */
export function mix(notes: readonly PlayedNote[], options: MixOptions = {}): Mix {
  const sampleRate = options.sampleRate ?? 48_000;
  const bank = options.bank ?? createVoiceBank();
  const toSample = (micros: number): number => Math.floor((micros * sampleRate) / 1_000_000 + 0.5);
  const sorted = [...notes].sort((a, b) => a.onset - b.onset);
  const tail = Math.ceil((options.tail ?? 6) * sampleRate);
  const limit = sorted.length === 0 ? 0 : toSample((sorted.at(-1) as PlayedNote).onset) + tail;
  const left = new Float32Array(limit);
  const right = new Float32Array(limit);
  const again = nextOnString(sorted);
  let length = 0;
  sorted.forEach((note, i) => {
    const voice = voiceOf(note);
    const key = voiceKey(voice);
    let samples = bank.get(key);
    if (samples === undefined) {
      samples = renderString({ ...voice, sampleRate, ...(options.body === false ? { body: false } : {}) });
      bank.set(key, samples);
    }
    const start = toSample(note.onset);
    const { left: panLeft, right: panRight } = panGains(panOf(note.string, note.hand));
    const gain = noteGain(note) * MASTER;
    const gl = gain * panLeft;
    const gr = gain * panRight;
    const cut = silencing(note, again[i] ?? null);
    const stop = cut === null ? Infinity : toSample(cut.at) - start;
    const fade = cut === null ? 0 : Math.ceil(cut.fade * sampleRate);
    const size = Math.min(samples.length, stop + fade, limit - start);
    const steady = Math.min(size, stop);
    for (let k = 0; k < steady; k++) {
      const x = samples[k] as number;
      left[start + k] = (left[start + k] as number) + x * gl;
      right[start + k] = (right[start + k] as number) + x * gr;
    }
    for (let k = steady; k < size; k++) {
      const x = (samples[k] as number) * smooth(1 - (k - stop) / fade);
      left[start + k] = (left[start + k] as number) + x * gl;
      right[start + k] = (right[start + k] as number) + x * gr;
    }
    if (start + size > length) length = start + size;
  });
  return finish(left.subarray(0, length), right.subarray(0, length), sampleRate, length === limit ? tail : 0);
}

/** For each note (sorted), the onset of the next one on its string in microseconds, or null. */
function nextOnString(sorted: readonly PlayedNote[]): (number | null)[] {
  const next = new Map<number, number>();
  const out: (number | null)[] = new Array<number | null>(sorted.length).fill(null);
  for (let i = sorted.length - 1; i >= 0; i--) {
    const note = sorted[i] as PlayedNote;
    out[i] = next.get(note.string) ?? null;
    next.set(note.string, note.onset);
  }
  return out;
}

/** What ends a note before its decay: the next pluck of its string, or a damp, whichever is first. */
export function silencing(note: PlayedNote, again: number | null): { at: number; fade: number } | null {
  const damp = note.releasedBy === 'damp' ? note.release : null;
  if (damp !== null && (again === null || damp < again)) return { at: damp, fade: DAMP_FADE };
  return again === null ? null : { at: again, fade: REPLUCK_FADE };
}

/** Fades the last third of a tail that was cut off, finds the peak, and makes the whole quieter where it lies above the ceiling. */
function finish(left: Float32Array, right: Float32Array, sampleRate: number, tail: number): Mix {
  const fade = Math.min(Math.ceil(tail / 3), left.length);
  for (const side of [left, right]) {
    for (let i = 0; i < fade; i++) {
      const k = side.length - 1 - i;
      side[k] = (side[k] as number) * smooth(i / fade);
    }
  }
  let peak = 0;
  for (const side of [left, right]) {
    for (let i = 0; i < side.length; i++) {
      const x = side[i] as number;
      if (x > peak) peak = x;
      else if (-x > peak) peak = -x;
    }
  }
  if (peak > CEILING) {
    // A hair under, so that rounding to single precision stays below.
    const scale = (CEILING * 0.99999) / peak;
    for (const side of [left, right]) {
      for (let i = 0; i < side.length; i++) side[i] = (side[i] as number) * scale;
    }
    peak = CEILING;
  }
  return { left, right, sampleRate, peak };
}
