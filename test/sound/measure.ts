/** Measuring instruments for sound, independent of the synthesis: windows, spectra, pitch, decay. */

/** Four-term Blackman–Harris window (Harris 1978): side lobes under −92 dB, main lobe ±4 bins. */
export function blackmanHarris(length: number): Float64Array {
  const out = new Float64Array(length);
  for (let i = 0; i < length; i++) {
    const x = (2 * Math.PI * (i + 0.5)) / length;
    out[i] = 0.35875 - 0.48829 * Math.cos(x) + 0.14128 * Math.cos(2 * x) - 0.01168 * Math.cos(3 * x);
  }
  return out;
}

/** A windowed stretch of samples, with its window's sum for calibration. */
export interface Stretch {
  readonly samples: Float64Array;
  readonly windowSum: number;
  readonly sampleRate: number;
}

/** Samples from a time on, multiplied by the window and by e^(lift·t): the lift changes no frequency. */
export function stretch(
  x: Float32Array,
  sampleRate: number,
  fromSeconds: number,
  seconds: number,
  lift = 0,
): Stretch {
  const from = Math.round(fromSeconds * sampleRate);
  const length = Math.min(Math.round(seconds * sampleRate), x.length - from);
  const samples = blackmanHarris(length);
  let windowSum = 0;
  for (let i = 0; i < length; i++) {
    windowSum += samples[i]!;
    samples[i]! *= x[from + i]! * (lift === 0 ? 1 : Math.exp((lift * i) / sampleRate));
  }
  return { samples, windowSum, sampleRate };
}

/** Amplitude of the sine wave at a frequency in a stretch. */
export function amplitudeAt(s: Stretch, frequency: number): number {
  const w = (2 * Math.PI * frequency) / s.sampleRate;
  const stepRe = Math.cos(w);
  const stepIm = Math.sin(w);
  let re = 1;
  let im = 0;
  let sumRe = 0;
  let sumIm = 0;
  for (const v of s.samples) {
    sumRe += v * re;
    sumIm += v * im;
    const next = re * stepRe - im * stepIm;
    im = re * stepIm + im * stepRe;
    re = next;
  }
  return (2 * Math.hypot(sumRe, sumIm)) / s.windowSum;
}

/** The frequency near a guess at which the spectrum peaks: bracketing, then a parabola through log magnitudes. */
export function peakNear(s: Stretch, guess: number, cents = 40): number {
  let centre = guess;
  let step = cents / 2;
  for (let round = 0; round < 3; round++) {
    const ratio = 2 ** (step / 1200);
    const at = [-2, -1, 0, 1, 2].map((k) => Math.log(amplitudeAt(s, centre * ratio ** k)));
    let best = 1;
    for (let k = 1; k <= 3; k++) if (at[k]! > at[best]!) best = k;
    const [a, b, c] = [at[best - 1]!, at[best]!, at[best + 1]!];
    const shift = (0.5 * (a - c)) / (a - 2 * b + c);
    centre *= ratio ** (best - 2 + Math.max(-1, Math.min(1, shift)));
    step /= 8;
  }
  return centre;
}

export const centsBetween = (f: number, reference: number): number => 1200 * Math.log2(f / reference);
export const dB = (ratio: number): number => 20 * Math.log10(ratio);

/** T60 of the partial at a frequency, from the fall between two times. */
export function t60(
  x: Float32Array,
  sampleRate: number,
  frequency: number,
  window: number,
  early: number,
  late: number,
): number {
  const a = amplitudeAt(stretch(x, sampleRate, early, window), frequency);
  const b = amplitudeAt(stretch(x, sampleRate, late, window), frequency);
  return (60 * (late - early)) / dB(a / b);
}

/** Magnitude spectrum by a radix-2 transform of the first power of two samples from a place. */
export function spectrum(x: Float32Array, from: number, size: number): Float64Array {
  const re = new Float64Array(size);
  const im = new Float64Array(size);
  const window = blackmanHarris(2 * size);
  for (let i = 0; i < size; i++) re[i] = (x[from + i] ?? 0) * window[size + i]!;
  for (let i = 1, j = 0; i < size; i++) {
    let bit = size >> 1;
    for (; j & bit; bit >>= 1) j ^= bit;
    j ^= bit;
    if (i < j) [re[i], re[j]] = [re[j]!, re[i]!];
  }
  for (let length = 2; length <= size; length <<= 1) {
    for (let k = 0; k < length / 2; k++) {
      const c = Math.cos((2 * Math.PI * k) / length);
      const s = -Math.sin((2 * Math.PI * k) / length);
      for (let i = k; i < size; i += length) {
        const j = i + length / 2;
        const tr = re[j]! * c - im[j]! * s;
        const ti = re[j]! * s + im[j]! * c;
        re[j] = re[i]! - tr;
        im[j] = im[i]! - ti;
        re[i]! += tr;
        im[i]! += ti;
      }
    }
  }
  return Float64Array.from({ length: size / 2 }, (_, i) => Math.hypot(re[i]!, im[i]!));
}

/** Spectral centroid of the attack in hertz, weighted by amplitude. */
export function centroid(x: Float32Array, sampleRate: number, size = 8192): number {
  const magnitudes = spectrum(x, 0, size);
  let sum = 0;
  let moment = 0;
  magnitudes.forEach((m, i) => {
    sum += m;
    moment += m * i;
  });
  return ((moment / sum) * sampleRate) / size;
}

export function rms(x: Float32Array, from = 0, to = x.length): number {
  let sum = 0;
  for (let i = from; i < to; i++) sum += (x[i] ?? 0) ** 2;
  return Math.sqrt(sum / (to - from));
}

export function peak(x: Float32Array, from = 0, to = x.length): number {
  let top = 0;
  for (let i = from; i < to; i++) top = Math.max(top, Math.abs(x[i] ?? 0));
  return top;
}

/** Twelve-tone equal temperament on A4 = 440 Hz (ISO 16:1975), from its definition. */
export const equalTempered = (midi: number): number => 440 * 2 ** ((midi - 69) / 12);
