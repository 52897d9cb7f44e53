/** One pluck as a list of partials: which sound, how strongly, how long. */

import type { Position, Setting } from '../harp/setting';
import type { StringIndex } from '../harp/strings';
import type { Technique } from '../music/passage';
import { BODY_MODES, bodyGain, earWeight } from './body';
import { type Layer, TOUCH } from './layers';
import type { Partial } from './resonators';
import { PI, exp, sinPi } from './series';
import { NEPERS_60, partialFrequency, stringModel } from './string-model';
import { stringFrequency } from './tuning';

export interface VoiceRequest {
  readonly string: StringIndex;
  readonly position: Position;
  readonly technique: Technique;
  readonly layer: Layer;
  readonly sampleRate: number;
  /** Pluck fraction of the length, 0 … 1, in place of the technique's own. */
  readonly pluckAt?: number;
  /** False leaves out the body. */
  readonly body?: boolean;
  /** Renders the answer of the other strings, standing in this setting, in place of the pluck. */
  readonly halo?: Setting;
  /** Renders the buzz of the disc in place of the pluck. */
  readonly buzz?: true;
}

export interface Voice {
  readonly partials: readonly Partial[];
  /** Samples until the ring is 51 dB down. */
  readonly seconds: number;
}

/** Partials above this share of the sample rate are left out. */
const TOP_SHARE = 0.45;
/** Partials this far below the strongest are left out: −100 dB. */
const FAINT = 1e-5;
/** Loudness is judged over this time. */
const LOUDNESS_SECONDS = 0.2;
/** Loudness of a loud ordinary pluck. */
const REFERENCE = 0.12;
/** The second plane of vibration: quieter, a third of a cent higher, longer. */
const SECOND = { level: 0.16, detune: 1.0002, damping: 0.8, partials: 12 };
/** The odd partials of a harmonic die under the touching hand: 60 dB in this many seconds, from this level. */
const ODD = { level: 0.15, seconds: 0.12 };

/** The soundboard's own knock under a pluck: its four lowest resonances, 30 dB under the string (common practice). */
const KNOCK = { level: 0.032, modes: 4 };

/** Level and brightness of the techniques against an ordinary pluck. Common practice, tuned by ear. */
const TECHNIQUES: Readonly<Record<Technique, { readonly level: number; readonly brightness: number }>> = {
  ordinary: { level: 1, brightness: 1 },
  table: { level: 0.8, brightness: 8 },
  harmonic: { level: 0.55, brightness: 1 },
  etouffe: { level: 0.8, brightness: 1 },
  nail: { level: 0.9, brightness: 3 },
};

export function makeVoice(request: VoiceRequest): Voice {
  const { string, position, technique, layer, sampleRate } = request;
  const model = stringModel(string);
  const f0 = stringFrequency(string, position);
  const harmonic = technique === 'harmonic';
  const sound = TECHNIQUES[technique];
  const touch = TOUCH[layer];
  // The hand that touches the middle leaves the thumb half the string to pluck.
  const beta =
    request.pluckAt ??
    (technique === 'table' ? model.pluckTable : harmonic ? model.pluckOrdinary / 2 : model.pluckOrdinary);
  const corner = touch.brightness * sound.brightness * Math.sqrt(f0 * 200 + 14_000);
  const raw: { n: number; f: number; amplitude: number }[] = [];
  let strongest = 0;
  for (let n = 1; ; n++) {
    const f = partialFrequency(f0, model.stiffness, n);
    if (f > TOP_SHARE * sampleRate) break;
    const finger = 1 / (1 + (f / corner) * (f / corner));
    let amplitude = (sinPi(n * beta) / n) * finger;
    if (request.body !== false) amplitude *= bodyGain(f);
    if (harmonic && n % 2 === 1) amplitude *= ODD.level;
    const size = amplitude < 0 ? -amplitude : amplitude;
    if (size > strongest) strongest = size;
    if (finger / n < FAINT * strongest) break;
    raw.push({ n, f, amplitude });
  }
  const dampingOf = (n: number, f: number): number =>
    harmonic && n % 2 === 1 ? NEPERS_60 / ODD.seconds : model.dampingBase + model.dampingSlope * f * f;
  // Even loudness: the power of the first fifth of a second, half weighed by the ear so that the bass is not blown up.
  let power = 0;
  for (const { n, f, amplitude } of raw) {
    const x = 2 * dampingOf(n, f) * LOUDNESS_SECONDS;
    power += (amplitude * amplitude * Math.sqrt(earWeight(f)) * (1 - exp(-x))) / x;
  }
  const scale = (REFERENCE * touch.level * sound.level) / Math.sqrt(power);
  const partials: Partial[] = [];
  for (const { n, f, amplitude } of raw) {
    const size = amplitude < 0 ? -amplitude : amplitude;
    if (size < FAINT * strongest) continue;
    const damping = dampingOf(n, f);
    partials.push({ frequency: f, damping, amplitude: amplitude * scale });
    if (n <= SECOND.partials && !(harmonic && n % 2 === 1)) {
      partials.push({
        frequency: f * SECOND.detune,
        damping: damping * SECOND.damping,
        amplitude: amplitude * scale * SECOND.level,
      });
    }
  }
  if (request.body !== false) {
    const amplitude = KNOCK.level * REFERENCE * touch.level * sound.level;
    for (const { frequency, sharpness } of BODY_MODES.slice(0, KNOCK.modes)) {
      partials.push({ frequency, damping: (PI * frequency) / sharpness, amplitude });
    }
  }
  const lead = harmonic ? partialFrequency(f0, model.stiffness, 2) : f0;
  const sigma = model.dampingBase + model.dampingSlope * lead * lead;
  return { partials, seconds: (0.85 * NEPERS_60) / sigma };
}
