/** Sums decaying sine waves by two-term recurrences, restarted from exact phasors so that nothing drifts. */

import { cosPi, exp, sinPi } from './series';

/** amplitude · e^(−damping·t) · sin(2π·frequency·t). */
export interface Partial {
  readonly frequency: number;
  /** Nepers a second. */
  readonly damping: number;
  readonly amplitude: number;
}

/** Samples between exact restarts. */
const BLOCK = 2048;
const BLOCK_LOG2 = 11;

/**
 * Adds the partials into `out`. A partial stops at the end of the block where its envelope has fallen below `floor`.
 * Each is y[i] = 2r·cos w·y[i−1] − r²·y[i−2], which is exact in pitch and decay.
 */
export function addPartials(
  out: Float64Array,
  partials: readonly Partial[],
  sampleRate: number,
  floor: number,
): void {
  const length = out.length;
  for (const { frequency, damping, amplitude } of partials) {
    const turn = (2 * frequency) / sampleRate;
    const r = exp(-damping / sampleRate);
    const stepRe = r * cosPi(turn);
    const stepIm = r * sinPi(turn);
    const c1 = 2 * stepRe;
    const c2 = r * r;
    // The phasor's factor over a whole block, by repeated squaring.
    let blockRe = stepRe;
    let blockIm = stepIm;
    for (let i = 0; i < BLOCK_LOG2; i++) {
      const re = blockRe * blockRe - blockIm * blockIm;
      blockIm = 2 * blockRe * blockIm;
      blockRe = re;
    }
    let re = amplitude;
    let im = 0;
    for (let start = 0; start < length; start += BLOCK) {
      if (re * re + im * im < floor * floor) break;
      const end = start + BLOCK < length ? start + BLOCK : length;
      let y2 = im;
      let y1 = re * stepIm + im * stepRe;
      out[start] = (out[start] as number) + y2;
      if (start + 1 < end) out[start + 1] = (out[start + 1] as number) + y1;
      for (let i = start + 2; i < end; i++) {
        const y = c1 * y1 - c2 * y2;
        out[i] = (out[i] as number) + y;
        y2 = y1;
        y1 = y;
      }
      const next = re * blockRe - im * blockIm;
      im = re * blockIm + im * blockRe;
      re = next;
    }
  }
}
