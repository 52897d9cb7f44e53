/** Renders one pluck of one string to samples. */

import { renderBuzz } from './bend';
import { addPartials } from './resonators';
import { exp } from './series';
import { renderHalo } from './sympathy';
import { type VoiceRequest, makeVoice } from './voice';

export interface RenderRequest extends VoiceRequest {
  /** Stop here, in seconds, with the same fade as at the natural end. */
  readonly maxSeconds?: number;
}

/** Attack in seconds: the finger's release is soft, and starts from silence. */
const ATTACK = 0.0015;
/** An étouffé is left to ring this long, then damped at this many nepers a second. */
const ETOUFFE = { seconds: 0.045, damping: 75, length: 0.22 };
/** Envelopes below this (−96 dB of full scale) are not computed further. */
const FLOOR = 1.5e-5;

/** Rises from 0 to 1 over 0 … 1 with level, uncurved ends. */
const smooth = (x: number): number => x * x * x * (10 - x * (15 - 6 * x));

/**
 * Mono samples of one pluck, peak below 1: length by its decay, silent at both ends.
 * Same request, same bits, in every engine. Or, where asked, the pluck's halo or a buzz.
 */
export function renderString(request: RenderRequest): Float32Array {
  const { sampleRate, technique } = request;
  if (request.buzz === true) return renderBuzz(request.string, request.position, sampleRate);
  if (request.halo !== undefined) return renderHalo(request, request.halo);
  const voice = makeVoice(request);
  let seconds = voice.seconds;
  if (technique === 'etouffe' && seconds > ETOUFFE.length) seconds = ETOUFFE.length;
  if (request.maxSeconds !== undefined && request.maxSeconds < seconds) seconds = request.maxSeconds;
  const length = Math.ceil(seconds * sampleRate);
  const sum = new Float64Array(length);
  addPartials(sum, voice.partials, sampleRate, FLOOR);
  const attack = Math.ceil(ATTACK * sampleRate);
  for (let i = 0; i < attack && i < length; i++) sum[i] = (sum[i] as number) * smooth(i / attack);
  if (technique === 'etouffe')
    damp(sum, Math.round(ETOUFFE.seconds * sampleRate), ETOUFFE.damping / sampleRate);
  const fade = Math.ceil(length * 0.15);
  for (let i = 0; i < fade; i++) sum[length - 1 - i] = (sum[length - 1 - i] as number) * smooth(i / fade);
  return Float32Array.from(sum);
}

function damp(sum: Float64Array, from: number, damping: number): void {
  const r = exp(-damping);
  let gain = 1;
  for (let i = from; i < sum.length; i++) {
    gain *= r;
    sum[i] = (sum[i] as number) * gain;
  }
}
