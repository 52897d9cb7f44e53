/** Sympathetic ring: what the open strings answer to a pluck, each partial driven through the soundboard. */

import { CONCERT_HARP } from '../harp/instrument';
import { type Setting, positionOf } from '../harp/setting';
import { TOP_STRING, stringLetter } from '../harp/strings';
import { type Partial, addPartials } from './resonators';
import { PI } from './series';
import { NEPERS_60, partialFrequency, stringModel } from './string-model';
import { stringFrequency } from './tuning';
import { type VoiceRequest, makeVoice } from './voice';

/** Coupling of two strings through the soundboard, per second. Tuned by ear: a halo some 26 dB under its note. */
const COUPLING = 0.09;
/** Partials of the pluck that drive, and of the other strings that answer. */
const DRIVERS = 6;
const ANSWERS = 6;
/** Answers kept: the work is bounded. */
const KEPT = 8;
/** Pairs farther apart than this do not answer audibly, in hertz. */
const NEAR_HZ = 12;
/** No two waves are taken to be nearer than this, in nepers a second. */
const LEAST_GAP = 0.6;
/** Longest halo, in seconds. */
const LONGEST = 2.2;

interface Answer {
  readonly size: number;
  readonly partials: readonly [Partial, Partial];
}

/**
 * The answers of the other strings as partials, strongest first, at most two times `KEPT`. A resonator λₛ = −σₛ + iωₛ
 * driven by a wave A·e^(λₙt) rings with κA·(e^(λₙt) − e^(λₛt)) / (λₙ − λₛ): it swells from silence, beats where it is
 * out of tune, and dies with its own decay.
 */
export function haloPartials(request: VoiceRequest, setting: Setting): Partial[] {
  const drivers = [...makeVoice({ ...request, body: false }).partials]
    .sort((a, b) => size(b) - size(a))
    .slice(0, DRIVERS);
  const answers: Answer[] = [];
  for (let string = 0; string <= TOP_STRING; string++) {
    if (string === request.string) continue;
    const position = CONCERT_HARP.discless.includes(string)
      ? CONCERT_HARP.disclessDefault
      : positionOf(setting, stringLetter(string));
    const f0 = stringFrequency(string, position);
    const model = stringModel(string);
    for (const driver of drivers) {
      const m = Math.floor(driver.frequency / f0 + 0.5);
      if (m < 1 || m > ANSWERS) continue;
      const f = partialFrequency(f0, model.stiffness, m);
      const apart = driver.frequency - f;
      if (apart > NEAR_HZ || apart < -NEAR_HZ) continue;
      const damping = model.dampingBase + model.dampingSlope * f * f;
      answers.push(answerOf(driver, f, damping, COUPLING / m));
    }
  }
  answers.sort((a, b) => b.size - a.size);
  return answers.slice(0, KEPT).flatMap((answer) => answer.partials);
}

const size = (p: Partial): number => (p.amplitude < 0 ? -p.amplitude : p.amplitude);

function answerOf(driver: Partial, frequency: number, damping: number, coupling: number): Answer {
  // κA / (λₙ − λₛ), with the gap kept from zero.
  let re = damping - driver.damping;
  if (re >= 0 && re < LEAST_GAP) re = LEAST_GAP;
  if (re < 0 && re > -LEAST_GAP) re = -LEAST_GAP;
  const im = 2 * PI * (driver.frequency - frequency);
  const scale = (coupling * driver.amplitude) / (re * re + im * im);
  const amplitude = re * scale;
  const quadrature = -im * scale;
  return {
    size: Math.sqrt(amplitude * amplitude + quadrature * quadrature),
    partials: [
      { frequency: driver.frequency, damping: driver.damping, amplitude, quadrature },
      { frequency, damping, amplitude: -amplitude, quadrature: -quadrature },
    ],
  };
}

/** Mono samples of a pluck's halo, at the pluck's own scale; empty where no string answers. */
export function renderHalo(request: VoiceRequest, setting: Setting): Float32Array {
  const partials = haloPartials(request, setting);
  if (partials.length === 0) return new Float32Array(0);
  const slowest = partials.reduce((least, p) => Math.min(least, p.damping), Infinity);
  const seconds = Math.min(LONGEST, (0.55 * NEPERS_60) / slowest);
  const sum = new Float64Array(Math.ceil(seconds * request.sampleRate));
  addPartials(sum, partials, request.sampleRate, 1e-6);
  const fade = Math.ceil(sum.length / 3);
  for (let i = 0; i < fade; i++) {
    const k = sum.length - 1 - i;
    const x = i / fade;
    sum[k] = (sum[k] as number) * x * x * (3 - 2 * x);
  }
  return Float32Array.from(sum);
}
