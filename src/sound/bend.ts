/** A pedal moved under a ringing string: its sound glides to the new pitch, with a light buzz where the disc bites. */

import type { StringIndex } from '../harp/strings';
import type { Position } from '../harp/setting';
import type { PlayedNote } from '../harp/performance';
import { addPartials, type Partial } from './resonators';
import { exp } from './series';
import { partialFrequency, stringModel } from './string-model';
import { SEMITONE, stringFrequency } from './tuning';

/** From the old pitch to the new, ending when the pedal stands (common practice). */
export const BEND_SECONDS = 0.06;
/** A slide that is written: the foot takes its time, and the disc bites on a string that it does not choke. */
export const SLIDE_SECONDS = 0.2;
/** What the string keeps of its level through a move: −3 dB; −1 dB through a slide (common practice). */
export const BEND_KEEPS = 0.7079;
export const SLIDE_KEEPS = 0.8913;
/** The buzz against the ring that it comes from. */
export const BUZZ_LEVEL = 0.4;
/** The same in a slide: the pedal is pressed, not thrown. */
export const SLIDE_BUZZ_LEVEL = 0.1;
const BUZZ = { first: 6, last: 24, seconds: 0.12, damping: 40, attack: 0.02 };

/** Frequency ratio of a whole number of semitones. */
export function semitones(n: number): number {
  let ratio = 1;
  for (let i = n < 0 ? -n : n; i > 0; i--) ratio *= SEMITONE;
  return n < 0 ? 1 / ratio : ratio;
}

/** One glide of a note, in seconds from its stroke. */
export interface Glide {
  readonly from: number;
  readonly to: number;
  /** Playing speeds of the note's own samples before and after. */
  readonly before: number;
  readonly after: number;
  /** Levels before and after. */
  readonly levelBefore: number;
  readonly levelAfter: number;
  /** The buzz on the way, against the ring. */
  readonly buzz: number;
}

/** A note's glides in order; a glide that the next would overlap ends where the next begins. Empty for most notes. */
export function glidesOf(note: PlayedNote): Glide[] {
  const out: Glide[] = [];
  let before = 1;
  let level = 1;
  const bends = note.bends ?? [];
  bends.forEach(({ at, semitones: n, slide = false }, i) => {
    const seconds = slide ? SLIDE_SECONDS : BEND_SECONDS;
    const stands = (at - note.onset) / 1_000_000;
    const from = Math.max(0, stands - seconds, out.at(-1)?.to ?? 0);
    const next = bends[i + 1];
    const room = next === undefined ? Infinity : (next.at - note.onset) / 1_000_000 - from;
    const after = semitones(n);
    const to = from + Math.min(seconds, Math.max(0.01, room / 2));
    const levelAfter = level * (slide ? SLIDE_KEEPS : BEND_KEEPS);
    const buzz = slide ? SLIDE_BUZZ_LEVEL : BUZZ_LEVEL;
    out.push({ from, to, before, after, levelBefore: level, levelAfter, buzz });
    before = after;
    level = levelAfter;
  });
  return out;
}

/**
 * A note's samples as they sound with its glides: read at another speed, so that phase and decay run on unbroken.
 * Between samples by a cubic through four of them (Lagrange).
 */
export function bendSamples(
  samples: Float32Array,
  sampleRate: number,
  glides: readonly Glide[],
): Float32Array {
  if (glides.length === 0) return samples;
  const slowest = glides.reduce((least, g) => Math.min(least, g.after), 1);
  const out = new Float32Array(Math.ceil(samples.length / slowest) + 1);
  let place = 0;
  let g = 0;
  for (let i = 0; i < out.length; i++) {
    const t = i / sampleRate;
    while (g < glides.length - 1 && t >= (glides[g + 1] as Glide).from) g++;
    const glide = glides[g] as Glide;
    const x = (t - glide.from) / (glide.to - glide.from);
    const share = x <= 0 ? 0 : x >= 1 ? 1 : x;
    const level = glide.levelBefore + (glide.levelAfter - glide.levelBefore) * share;
    const k = Math.floor(place);
    if (k >= samples.length) return out.slice(0, i);
    out[i] = between(samples, k, place - k) * level;
    place += glide.before + (glide.after - glide.before) * share;
  }
  return out;
}

function between(x: Float32Array, k: number, t: number): number {
  const b = x[k] as number;
  if (t === 0) return b;
  const a = x[k - 1] ?? 0;
  const c = x[k + 1] ?? 0;
  const d = x[k + 2] ?? 0;
  return (
    (-t * (t - 1) * (t - 2) * a) / 6 +
    ((t + 1) * (t - 1) * (t - 2) * b) / 2 -
    ((t + 1) * t * (t - 2) * c) / 2 +
    ((t + 1) * t * (t - 1) * d) / 6
  );
}

/** The disc's buzz on a string: its upper partials for a tenth of a second; peak under 1, to be scaled. */
export function renderBuzz(string: StringIndex, position: Position, sampleRate: number): Float32Array {
  const f0 = stringFrequency(string, position);
  const { stiffness } = stringModel(string);
  const partials: Partial[] = [];
  for (let n = BUZZ.first; n <= BUZZ.last; n++) {
    const frequency = partialFrequency(f0, stiffness, n);
    if (frequency > 0.4 * sampleRate || frequency > 9000) break;
    partials.push({ frequency, damping: BUZZ.damping, amplitude: BUZZ.first / n });
  }
  const sum = new Float64Array(Math.ceil(BUZZ.seconds * sampleRate));
  const scale = 1 / Math.max(1, partials.length);
  addPartials(
    sum,
    partials.map((p) => ({ ...p, amplitude: p.amplitude * scale })),
    sampleRate,
    1e-5,
  );
  const attack = BUZZ.attack * sampleRate;
  return Float32Array.from(sum, (x, i) => {
    const rise = i < attack ? i / attack : 1;
    const fall = Math.min(1, (4 * (sum.length - 1 - i)) / sum.length);
    return x * rise * fall;
  });
}

/** How strongly a string still rings some seconds after its stroke, against its first level: its first partial's decay. */
export function ringLeft(string: StringIndex, position: Position, seconds: number): number {
  const { dampingBase, dampingSlope } = stringModel(string);
  const f = stringFrequency(string, position);
  return exp(-(dampingBase + dampingSlope * f * f) * seconds);
}
