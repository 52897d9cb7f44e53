/** Decay, techniques, dynamics and level of the strings against the trade's figures. */
import { describe, expect, it } from 'vitest';
import { TOP_STRING, stringPitch } from '../../src/harp/strings';
import type { Technique } from '../../src/music/passage';
import { midiOf } from '../../src/music/pitch';
import { DYNAMIC_LAYER, LAYERS, type Layer } from '../../src/sound/layers';
import { renderString } from '../../src/sound/render-string';
import { stringModel } from '../../src/sound/string-model';
import { amplitudeAt, centroid, dB, equalTempered, peak, rms, stretch, t60 } from './measure';

const RATE = 48_000;
const DYNAMICS = ['ppp', 'pp', 'p', 'mp', 'mf', 'f', 'ff', 'fff'] as const;
const STRINGS = Array.from({ length: TOP_STRING + 1 }, (_, s) => s);
const frequency = (string: number): number => equalTempered(midiOf(stringPitch(string, 0)));
const render = (string: number, technique: Technique, layer: Layer, maxSeconds = 60): Float32Array =>
  renderString({ string, position: 0, technique, layer, sampleRate: RATE, maxSeconds });

/** Strings; T60 of f₀ from, to; T60 of partial 10; B from, to: starting values, common practice. */
const TABLE = [
  { from: 0, to: 11, first: [9, 12], tenth: 3, b: [1e-5, 2.5e-5] },
  { from: 12, to: 20, first: [5, 7], tenth: 1.5, b: [2.5e-4, 3.2e-4] },
  { from: 21, to: 34, first: [2, 4], tenth: 0.8, b: [2.2e-4, 4e-4] },
  { from: 35, to: 37, first: [1, 1.5], tenth: 0.35, b: [5e-4, 6e-4] },
  { from: 38, to: 46, first: [0.4, 0.9], tenth: 0.15, b: [6e-4, 1.4e-3] },
] as const;
const rowOf = (s: number) => TABLE.find((row) => s >= row.from && s <= row.to)!;

describe('decay', () => {
  it('of partials 1 and 5 agrees with the table within −25/+40% (Tolonen & Järveläinen: unnoticed)', () => {
    for (const s of STRINGS) {
      const row = rowOf(s);
      const f1 = frequency(s);
      const b = stringModel(s).stiffness;
      const f5 = 5 * f1 * Math.sqrt((1 + 25 * b) / (1 + b));
      // Damping grows with the square of frequency (Woodhouse 2004), through the table's partials 1 and 10.
      const fifth = row.first.map((first) => 1 / (1 / first + ((1 / row.tenth - 1 / first) * 24) / 99));
      // Near the soundboard, because the ordinary place is a node of the fifth.
      const x = render(s, 'table', 'loud', 2.2);
      const window = Math.max(6 / f1, 0.05);
      const first = t60(x, RATE, f1, window, 0.02, 0.02 + 0.12 * row.first[0]);
      const found5 = t60(x, RATE, f5, window, 0.02, 0.02 + 0.12 * fifth[0]!);
      expect(first, `string ${s}, partial 1`).toBeGreaterThan(0.75 * row.first[0]);
      expect(first, `string ${s}, partial 1`).toBeLessThan(1.4 * row.first[1]);
      expect(found5, `string ${s}, partial 5`).toBeGreaterThan(0.75 * fifth[0]!);
      expect(found5, `string ${s}, partial 5`).toBeLessThan(1.4 * fifth[1]!);
      expect(b).toBeGreaterThanOrEqual(row.b[0]);
      expect(b).toBeLessThanOrEqual(row.b[1]);
    }
  });

  it('shortens from each string to the next', () => {
    const lengths = STRINGS.map((s) => render(s, 'ordinary', 'medium').length);
    for (const s of STRINGS.slice(1)) expect(lengths[s]!).toBeLessThan(lengths[s - 1]!);
  });
});

describe('techniques', () => {
  it('near the soundboard doubles the spectral centroid at least', () => {
    for (const layer of LAYERS) {
      for (const s of STRINGS) {
        const near = centroid(render(s, 'table', layer, 0.2), RATE);
        const ratio = near / centroid(render(s, 'ordinary', layer, 0.2), RATE);
        expect(ratio, `string ${s}, ${layer}`).toBeGreaterThan(2);
      }
    }
  });

  it('a harmonic has lost its odd partials after 150 ms: −40 dB', () => {
    for (const s of STRINGS) {
      const x = render(s, 'harmonic', 'loud', 0.6);
      const f0 = frequency(s);
      const part = stretch(x, RATE, 0.15, Math.max(6 / f0, 0.03));
      const b = stringModel(s).stiffness;
      const at = (n: number): number => amplitudeAt(part, n * f0 * Math.sqrt((1 + b * n * n) / (1 + b)));
      for (const n of [1, 3, 5]) expect(dB(at(n) / at(2)), `string ${s}, partial ${n}`).toBeLessThan(-40);
    }
  });

  it('an étouffé is 40 dB down within 150 ms', () => {
    for (const s of STRINGS) {
      for (const layer of LAYERS) {
        const x = render(s, 'etouffe', layer);
        expect(dB(peak(x, Math.round(0.15 * RATE)) / peak(x)), `string ${s}`).toBeLessThan(-40);
      }
    }
  });

  it('the fingernail is brighter than the fingertip', () => {
    for (const s of STRINGS) {
      expect(centroid(render(s, 'nail', 'medium', 0.2), RATE)).toBeGreaterThan(
        1.1 * centroid(render(s, 'ordinary', 'medium', 0.2), RATE),
      );
    }
  });
});

describe('dynamics', () => {
  it('rise in level and in brightness from layer to layer, on every string', () => {
    for (const s of STRINGS) {
      const sounds = LAYERS.map((layer) => render(s, 'ordinary', layer, 0.25));
      for (let i = 1; i < sounds.length; i++) {
        expect(dB(rms(sounds[i]!, 0, 9600) / rms(sounds[i - 1]!, 0, 9600)), `string ${s}`).toBeGreaterThan(3);
        expect(centroid(sounds[i]!, RATE) / centroid(sounds[i - 1]!, RATE), `string ${s}`).toBeGreaterThan(
          1.02,
        );
      }
    }
  });
});

describe('the eight dynamics', () => {
  it('rise strictly in level from ppp to fff, and never fall in brightness, on every string', () => {
    for (const s of STRINGS) {
      const sounds = new Map(LAYERS.map((layer) => [layer, render(s, 'ordinary', layer, 0.25)]));
      const found = DYNAMICS.map((dynamic) => {
        const { layer, gain } = DYNAMIC_LAYER[dynamic];
        const x = sounds.get(layer)!;
        return { level: dB(gain * rms(x, 0, 9600)), centroid: centroid(x, RATE) };
      });
      for (let i = 1; i < found.length; i++) {
        expect(found[i]!.level - found[i - 1]!.level, `string ${s}, ${DYNAMICS[i]}`).toBeGreaterThan(0.5);
        expect(found[i]!.centroid).toBeGreaterThanOrEqual(found[i - 1]!.centroid);
      }
    }
  });
});

describe('level', () => {
  const all = STRINGS.flatMap((s) =>
    (['ordinary', 'table', 'harmonic', 'etouffe', 'nail'] as const).flatMap((technique) =>
      LAYERS.map((layer) => ({ s, technique, layer, x: render(s, technique, layer, 0.3) })),
    ),
  );

  it('is finite and under full scale everywhere', () => {
    for (const { s, technique, layer, x } of all) {
      expect(x.every(Number.isFinite), `${s} ${technique} ${layer}`).toBe(true);
      expect(peak(x), `${s} ${technique} ${layer}`).toBeLessThan(0.95);
      expect(peak(x), `${s} ${technique} ${layer}`).toBeGreaterThan(0.01);
    }
  });

  it('is even: neighbours within 1.5 dB, the whole harp within 9 dB', () => {
    const levels = STRINGS.map((s) => dB(rms(render(s, 'ordinary', 'medium', 0.25), 0, 9600)));
    for (const s of STRINGS.slice(1)) expect(Math.abs(levels[s]! - levels[s - 1]!)).toBeLessThan(1.5);
    expect(Math.max(...levels) - Math.min(...levels)).toBeLessThan(9);
  });

  it('starts and ends in silence, without a click: first and last samples under −80 dB', () => {
    for (const { s, technique, layer, x } of all) {
      expect(x[0], `${s} ${technique} ${layer}`).toBe(0);
      for (const i of [1, x.length - 2, x.length - 1]) expect(Math.abs(x[i]!)).toBeLessThan(1e-4);
    }
  });
});

it('renders the same bytes twice', () => {
  for (const s of [0, 20, 46]) {
    const [a, b] = [render(s, 'ordinary', 'loud'), render(s, 'ordinary', 'loud')];
    expect(Buffer.from(a.buffer).equals(Buffer.from(b.buffer))).toBe(true);
  }
});
