/** A light soundboard and body, synthesized: fixed resonances that do not move with the pitch, and the ear's weighting. */

interface Mode {
  readonly frequency: number;
  readonly sharpness: number;
  readonly gain: number;
}

/**
 * Resonances of the soundboard and the air behind it. That the strongest lie between 150 and 500 Hz is the picture of
 * Le Carrou, Gautier & Foltête (2007, modal analysis of a concert harp); the values are common practice, tuned by ear.
 */
export const BODY_MODES: readonly Mode[] = [
  { frequency: 152, sharpness: 7, gain: 0.7 },
  { frequency: 214, sharpness: 8, gain: 0.6 },
  { frequency: 327, sharpness: 8, gain: 0.5 },
  { frequency: 486, sharpness: 7, gain: 0.4 },
  { frequency: 795, sharpness: 5, gain: 0.35 },
  { frequency: 1310, sharpness: 4, gain: 0.3 },
  { frequency: 2470, sharpness: 3, gain: 0.25 },
];

/** Below this the soundboard is too small to radiate well. */
const RADIATION_HZ = 55;

/** How strongly the body passes a steady frequency: |1 + Σ gₖ·bandpassₖ| with a gentle fall below 55 Hz. */
export function bodyGain(f: number): number {
  let re = 1;
  let im = 0;
  for (const { frequency, sharpness, gain } of BODY_MODES) {
    const width = (f * frequency) / sharpness;
    const gap = frequency * frequency - f * f;
    const size = gap * gap + width * width;
    // gain · j·width / (gap + j·width)
    re += (gain * width * width) / size;
    im += (gain * width * gap) / size;
  }
  return (Math.sqrt(re * re + im * im) * f) / Math.sqrt(f * f + RADIATION_HZ * RADIATION_HZ);
}

/** The ear's A-weighting as an amplitude ratio, 1 at about 1 kHz (IEC 61672-1, annex E). */
export function earWeight(f: number): number {
  const q = f * f;
  const a = 12194.217 * 12194.217;
  const low = q + 20.598997 * 20.598997;
  const mid = Math.sqrt((q + 107.65265 * 107.65265) * (q + 737.86223 * 737.86223));
  return (1.2588966 * a * q * q) / (low * mid * (q + a));
}
