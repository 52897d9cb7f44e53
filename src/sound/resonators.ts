/** Sums decaying sine waves by two-term recurrences, restarted from exact phasors so that nothing drifts. */

import { cosPi, exp, sinPi } from './series';

/** e^(−damping·t) · (amplitude · sin(2π·frequency·t) + quadrature · cos(2π·frequency·t)). */
export interface Partial {
  readonly frequency: number;
  /** Nepers a second. */
  readonly damping: number;
  readonly amplitude: number;
  /** 0 where absent: the wave starts from silence. */
  readonly quadrature?: number;
}

/** Samples between exact restarts, a power of two. */
const BLOCK = 1024;
const BLOCK_LOG2 = 10;

/** One partial under way: its phasor at the start of a block, and the factors over a sample and over a block. */
interface Resonator {
  re: number;
  im: number;
  readonly stepRe: number;
  readonly stepIm: number;
  readonly blockRe: number;
  readonly blockIm: number;
  /** 2r·cos w and r². */
  readonly c1: number;
  readonly c2: number;
}

function resonator(partial: Partial, sampleRate: number): Resonator {
  const turn = (2 * partial.frequency) / sampleRate;
  const r = exp(-partial.damping / sampleRate);
  const stepRe = r * cosPi(turn);
  const stepIm = r * sinPi(turn);
  // The factor over a whole block, by repeated squaring.
  let blockRe = stepRe;
  let blockIm = stepIm;
  for (let i = 0; i < BLOCK_LOG2; i++) {
    const re = blockRe * blockRe - blockIm * blockIm;
    blockIm = 2 * blockRe * blockIm;
    blockRe = re;
  }
  const im = partial.quadrature ?? 0;
  return { re: partial.amplitude, im, stepRe, stepIm, blockRe, blockIm, c1: 2 * stepRe, c2: r * r };
}

const SILENT: Partial = { frequency: 0, damping: 0, amplitude: 0 };
const size2 = (r: Resonator): number => r.re * r.re + r.im * r.im;
const advance = (r: Resonator): void => {
  const re = r.re * r.blockRe - r.im * r.blockIm;
  r.im = r.re * r.blockIm + r.im * r.blockRe;
  r.re = re;
};

/**
 * Adds the partials into `out`. A group of four stops at the first block where all its envelopes lie below `floor`.
 * Each is y[i] = 2r·cos w·y[i−1] − r²·y[i−2], which is exact in pitch and decay; four run side by side because one
 * alone waits for its own results.
 */
export function addPartials(
  out: Float64Array,
  partials: readonly Partial[],
  sampleRate: number,
  floor: number,
): void {
  const length = out.length;
  for (let first = 0; first < partials.length; first += 4) {
    const a = resonator(partials[first] ?? SILENT, sampleRate);
    const b = resonator(partials[first + 1] ?? SILENT, sampleRate);
    const c = resonator(partials[first + 2] ?? SILENT, sampleRate);
    const d = resonator(partials[first + 3] ?? SILENT, sampleRate);
    for (let start = 0; start < length; start += BLOCK) {
      const least = floor * floor;
      if (size2(a) < least && size2(b) < least && size2(c) < least && size2(d) < least) break;
      addBlock(out, start, start + BLOCK < length ? start + BLOCK : length, a, b, c, d);
      advance(a);
      advance(b);
      advance(c);
      advance(d);
    }
  }
}

function addBlock(
  out: Float64Array,
  start: number,
  end: number,
  a: Resonator,
  b: Resonator,
  c: Resonator,
  d: Resonator,
): void {
  const { c1: a1, c2: a2 } = a;
  const { c1: b1, c2: b2 } = b;
  const { c1: c1, c2: c2 } = c;
  const { c1: d1, c2: d2 } = d;
  // The two samples before the next one: now, and one step on.
  let ya = a.im;
  let yb = b.im;
  let yc = c.im;
  let yd = d.im;
  let za = a.re * a.stepIm + a.im * a.stepRe;
  let zb = b.re * b.stepIm + b.im * b.stepRe;
  let zc = c.re * c.stepIm + c.im * c.stepRe;
  let zd = d.re * d.stepIm + d.im * d.stepRe;
  for (let i = start; i < end; i++) {
    out[i] = (out[i] as number) + (ya + yb + (yc + yd));
    const na = a1 * za - a2 * ya;
    const nb = b1 * zb - b2 * yb;
    const nc = c1 * zc - c2 * yc;
    const nd = d1 * zd - d2 * yd;
    ya = za;
    yb = zb;
    yc = zc;
    yd = zd;
    za = na;
    zb = nb;
    zc = nc;
    zd = nd;
  }
}
