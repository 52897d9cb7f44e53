/** Mixes played notes offline into stereo samples: the same bits in page and terminal. */

import { type Random, seededRandom } from '../base/random';
import type { Position } from '../harp/setting';
import { bendSamples, glidesOf, ringLeft } from './bend';
import { TOUCH } from './layers';
import { type PlayedNote, type VoiceId, buzzOf, haloOf, noteGain, voiceKey, voiceOf } from './note';
import { renderString } from './render-string';
import { ROOM_SECONDS, addRoom } from './room';
import { DAMP_FADE, REPLUCK_FADE, panGains, panOf } from './stereo';
import { uneven } from './uneven';
import { type Bank, createBank } from './voice-bank';

export interface MixOptions {
  /** Samples a second; 48,000 unless given. */
  readonly sampleRate?: number;
  /** False leaves out the body. */
  readonly body?: boolean;
  /** False leaves out the ring of the strings that are not plucked. It needs notes that know their setting. */
  readonly sympathy?: boolean;
  /** True adds the room. */
  readonly room?: boolean;
  /** A player's unevenness, drawn from this source; none unless given. */
  readonly uneven?: Random | null;
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

/** As heard in a room, from a player: what `render` and the page write unless asked for the dry strings. */
export const HOUSE = (): MixOptions => ({ room: true, uneven: seededRandom('an evening at home') });
/** The strings alone: no body, nothing that rings through it, no room, no unevenness. */
export const DRY: MixOptions = { body: false, sympathy: false };

/** −1.01 dBFS: a mix that would be louder is made quieter as a whole. */
export const CEILING = 0.89;
/** Headroom for chords: one loud string peaks at about a third. */
const MASTER = 0.5;
const BANK_BYTES = 90_000_000;

const smooth = (x: number): number => x * x * (3 - 2 * x);

export function createVoiceBank(): Bank<Float32Array> {
  return createBank<Float32Array>(BANK_BYTES, (samples) => samples.byteLength);
}

/** Where an old sound ends: from a sample of the mix on, in so many samples. */
interface End {
  readonly at: number;
  readonly fade: number;
}
interface Stage {
  readonly left: Float32Array;
  readonly right: Float32Array;
  /** Strings sound no farther than this sample; beyond it is the room's. */
  readonly limit: number;
  /** Samples in use. */
  length: number;
}

/**
 * Every note at its sample, ringing until it has decayed, is damped or its string is plucked again, with a place in
 * the stereo picture. A string whose pedal moves is bent; the open strings answer. No voice is ever dropped. Silence
 * for no notes.
 */
export function mix(given: readonly PlayedNote[], options: MixOptions = {}): Mix {
  const sampleRate = options.sampleRate ?? 48_000;
  const bank = options.bank ?? createVoiceBank();
  const toSample = (micros: number): number => Math.floor((micros * sampleRate) / 1_000_000 + 0.5);
  const notes =
    options.uneven === undefined || options.uneven === null ? given : uneven(given, options.uneven);
  const sorted = [...notes].sort((a, b) => a.onset - b.onset);
  const tail = Math.ceil((options.tail ?? 6) * sampleRate);
  const limit = sorted.length === 0 ? 0 : toSample((sorted.at(-1) as PlayedNote).onset) + tail;
  const space = limit + (options.room === true ? Math.ceil(ROOM_SECONDS * sampleRate) : 0);
  const stage: Stage = { left: new Float32Array(space), right: new Float32Array(space), limit, length: 0 };
  const again = nextOnString(sorted);
  const damps = nextDamp(sorted);
  const render = (voice: VoiceId): Float32Array =>
    renderString({ ...voice, sampleRate, ...(options.body === false ? { body: false } : {}) });
  const kept = (key: string, make: () => Float32Array): Float32Array => {
    let samples = bank.get(key);
    if (samples === undefined) {
      samples = make();
      bank.set(key, samples);
    }
    return samples;
  };
  const samplesOf = (voice: VoiceId): Float32Array => kept(voiceKey(voice), () => render(voice));
  const together = (voice: VoiceId, halo: VoiceId): Float32Array =>
    kept(`${voiceKey(halo)}+`, () => sum(bank.get(voiceKey(voice)) ?? render(voice), samplesOf(halo)));
  sorted.forEach((note, i) => {
    const voice = voiceOf(note);
    const start = toSample(note.onset);
    const pan = panGains(panOf(note.string, note.hand));
    const gain = noteGain(note) * MASTER;
    const cut = silencing(note, again[i] ?? null);
    const end = cut === null ? null : { at: toSample(cut.at), fade: Math.ceil(cut.fade * sampleRate) };
    const glides = glidesOf(note);
    const halo = options.sympathy === false ? null : haloOf(note);
    // The other strings ring on when this one is plucked again; the next flat hand silences them too.
    const hand = damps[i] ?? null;
    const damped = hand === null ? null : { at: toSample(hand), fade: Math.ceil(DAMP_FADE * sampleRate) };
    if (halo === null || glides.length > 0) {
      add(stage, bendSamples(samplesOf(voice), sampleRate, glides), start, gain, pan, end);
      if (halo !== null) add(stage, samplesOf(halo), start, gain, pan, damped);
    } else {
      // String and halo in one: until the string's end both, and then the halo alone, each fading into the other.
      add(stage, together(voice, halo), start, gain, pan, end);
      const rings = end !== null && (damped === null || end.at < damped.at);
      if (rings) add(stage, samplesOf(halo), start, gain, pan, damped, end);
    }
    for (const [k, glide] of glides.entries()) {
      // The last cut wins: a string that was silenced before its pedal moved does not buzz.
      const at = start + Math.floor(glide.from * sampleRate);
      if (end !== null && at >= end.at) break;
      const level = TOUCH[voice.layer].level * glide.buzz * ringLeft(note.string, voice.position, glide.from);
      const to = (voice.position + (note.bends?.[k]?.semitones ?? 0)) as Position;
      add(stage, samplesOf(buzzOf(note.string, to)), at, gain * level, pan, end);
    }
  });
  return finish(stage, sampleRate, tail, options.room === true);
}

function sum(a: Float32Array, b: Float32Array): Float32Array {
  const [long, short] = a.length < b.length ? [b, a] : [a, b];
  const out = long.slice();
  for (let i = 0; i < short.length; i++) out[i] = (out[i] as number) + (short[i] as number);
  return out;
}

/** Adds samples from a place on, fading them out at an end, or in where `begin` fades another out. */
function add(
  stage: Stage,
  samples: Float32Array,
  start: number,
  gain: number,
  pan: { left: number; right: number },
  end: End | null,
  begin: End | null = null,
): void {
  const { left, right } = stage;
  const gl = gain * pan.left;
  const gr = gain * pan.right;
  const stop = end === null ? Infinity : end.at - start;
  const fade = end === null ? 0 : end.fade;
  const size = Math.min(samples.length, stop + fade, stage.limit - start);
  const steady = Math.min(size, stop);
  const from = begin === null ? 0 : Math.max(0, begin.at - start);
  const whole = begin === null ? 0 : Math.min(steady, from + begin.fade);
  for (let k = from; k < whole; k++) {
    const x = (samples[k] as number) * smooth((k - from) / (whole - from));
    left[start + k] = (left[start + k] as number) + x * gl;
    right[start + k] = (right[start + k] as number) + x * gr;
  }
  for (let k = whole; k < steady; k++) {
    const x = samples[k] as number;
    left[start + k] = (left[start + k] as number) + x * gl;
    right[start + k] = (right[start + k] as number) + x * gr;
  }
  for (let k = steady; k < size; k++) {
    const x = (samples[k] as number) * smooth(1 - (k - stop) / fade);
    left[start + k] = (left[start + k] as number) + x * gl;
    right[start + k] = (right[start + k] as number) + x * gr;
  }
  if (start + size > stage.length) stage.length = start + size;
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

/** For each note (sorted), when a hand next damps its string, in microseconds, or null. */
function nextDamp(sorted: readonly PlayedNote[]): (number | null)[] {
  const next = new Map<number, number>();
  const out: (number | null)[] = new Array<number | null>(sorted.length).fill(null);
  for (let i = sorted.length - 1; i >= 0; i--) {
    const note = sorted[i] as PlayedNote;
    if (note.releasedBy === 'damp' && note.release !== null) next.set(note.string, note.release);
    out[i] = next.get(note.string) ?? null;
  }
  return out;
}

/** What ends a note before its decay: the next pluck of its string, or a damp, whichever is first. */
export function silencing(note: PlayedNote, again: number | null): { at: number; fade: number } | null {
  const damp = note.releasedBy === 'damp' ? note.release : null;
  if (damp !== null && (again === null || damp < again)) return { at: damp, fade: DAMP_FADE };
  return again === null ? null : { at: again, fade: REPLUCK_FADE };
}

/**
 * Fades the last third of a tail that was cut off, lets the room answer, finds the peak, and makes the whole quieter
 * where it lies above the ceiling.
 */
function finish(stage: Stage, sampleRate: number, tail: number, room: boolean): Mix {
  const cutOff = stage.length === stage.limit;
  const fade = cutOff ? Math.min(Math.ceil(tail / 3), stage.length) : 0;
  for (const side of [stage.left, stage.right]) {
    for (let i = 0; i < fade; i++) {
      const k = stage.length - 1 - i;
      side[k] = (side[k] as number) * smooth(i / fade);
    }
  }
  const length = stage.length === 0 ? 0 : stage.length + stage.left.length - stage.limit;
  const left = stage.left.subarray(0, length);
  const right = stage.right.subarray(0, length);
  if (room) addRoom(left, right, sampleRate);
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
