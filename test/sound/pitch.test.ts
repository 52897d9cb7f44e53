/** Every string, position and technique against equal temperament; partials against the stiff-string law. */
import { describe, expect, it } from 'vitest';
import { TOP_STRING, stringPitch } from '../../src/harp/strings';
import type { Position } from '../../src/harp/setting';
import type { Technique } from '../../src/music/passage';
import { midiOf } from '../../src/music/pitch';
import { renderString } from '../../src/sound/render-string';
import { stringModel } from '../../src/sound/string-model';
import { stringFrequency } from '../../src/sound/tuning';
import { amplitudeAt, centsBetween, dB, equalTempered, peakNear, rms, stretch } from './measure';

const RATE = 48_000;
const STRINGS = Array.from({ length: TOP_STRING + 1 }, (_, s) => s);
const POSITIONS: readonly Position[] = [-1, 0, 1];
const keyOf = (string: number, position: Position): number => midiOf(stringPitch(string, position));

/** Cents by which the sounding pitch lies off equal temperament. */
function error(string: number, position: Position, technique: Technique): number {
  const target = equalTempered(keyOf(string, position)) * (technique === 'harmonic' ? 2 : 1);
  // Five periods of the string hold its partials apart; at least a twelfth of a second for a sharp reading.
  const window = Math.max(6 / equalTempered(keyOf(string, position)), 1 / 12);
  const x = renderString({ string, position, technique, layer: 'medium', sampleRate: RATE, maxSeconds: 0.5 });
  if (technique !== 'etouffe') return centsBetween(peakNear(stretch(x, RATE, 0.01, window), target), target);
  // Once damped it is a sum of fast-dying waves: lifted by its own decay, it reads like any other.
  const [a, b] = [Math.round(0.05 * RATE), Math.round(0.1 * RATE)];
  const width = Math.round(0.04 * RATE);
  const lift = Math.log(rms(x, a, a + width) / rms(x, b, b + width)) / 0.05;
  return centsBetween(peakNear(stretch(x, RATE, 0.047, 0.138, lift), target), target);
}

describe('the pitch of every string', () => {
  it('is tuned to equal temperament on A4 = 440 Hz (ISO 16)', () => {
    for (const s of STRINGS) {
      for (const p of POSITIONS) {
        expect(Math.abs(centsBetween(stringFrequency(s, p), equalTempered(keyOf(s, p))))).toBeLessThan(1e-9);
      }
    }
  });

  it.each([
    ['ordinary', 1],
    ['table', 1],
    ['nail', 1],
    ['etouffe', 1],
    // A harmonic is the second partial of a stiff string: a little sharp by nature.
    ['harmonic', 3],
  ] as const)('sounds in tune: %s within %d cents in all positions', (technique, limit) => {
    const off = STRINGS.flatMap((s) =>
      POSITIONS.map((p) => ({ s, p, cents: error(s, p, technique) })).filter(
        ({ cents }) => !(Math.abs(cents) < limit),
      ),
    );
    expect(off).toEqual([]);
  });

  it('stays in tune while it rings', () => {
    for (const s of [0, 7, 14, 21, 28]) {
      const target = equalTempered(keyOf(s, 0));
      const x = renderString({
        string: s,
        position: 0,
        technique: 'ordinary',
        layer: 'loud',
        sampleRate: RATE,
        maxSeconds: 2.5,
      });
      for (const from of [0, 0.4, 0.8, 1.2, 1.6]) {
        const cents = centsBetween(peakNear(stretch(x, RATE, from, 0.4), target), target);
        expect(Math.abs(cents), `string ${s} at ${from} s`).toBeLessThan(1);
      }
    }
  });

  it('does not glide at ff: under 0.1 ERB from the attack to the ring (Järveläinen & Välimäki)', () => {
    // Equivalent rectangular bandwidth of hearing (Glasberg & Moore 1990).
    const erb = (f: number): number => 24.7 * (4.37e-3 * f + 1);
    for (const s of STRINGS) {
      const f = equalTempered(keyOf(s, 0));
      const x = renderString({
        string: s,
        position: 0,
        technique: 'ordinary',
        layer: 'loud',
        sampleRate: RATE,
        maxSeconds: 1,
      });
      const window = Math.max(6 / f, 0.05);
      const attack = peakNear(stretch(x, RATE, 0, window), f);
      const ring = peakNear(stretch(x, RATE, window, Math.min(0.3, 4 * window)), f);
      expect(Math.abs(attack - ring), `string ${s}`).toBeLessThan(0.1 * erb(f));
    }
  });

  it('does not depend on the sample rate', () => {
    const target = equalTempered(keyOf(44, 1));
    const x = renderString({
      string: 44,
      position: 1,
      technique: 'ordinary',
      layer: 'loud',
      sampleRate: 44_100,
    });
    expect(Math.abs(centsBetween(peakNear(stretch(x, 44_100, 0.01, 0.2), target), target))).toBeLessThan(1);
  });
});

describe('partials', () => {
  it('follow the stiff-string law to the tenth, within 5 cents (Fletcher & Rossing)', () => {
    for (const s of STRINGS.filter((n) => n % 3 === 0)) {
      const f0 = equalTempered(keyOf(s, 0));
      const b = stringModel(s).stiffness;
      // A place that is no node of the first ten partials.
      const x = renderString({
        string: s,
        position: 0,
        technique: 'nail',
        layer: 'loud',
        sampleRate: RATE,
        maxSeconds: 0.6,
        pluckAt: 0.07,
      });
      for (let n = 2; n <= 10; n++) {
        const law = n * f0 * Math.sqrt((1 + b * n * n) / (1 + b));
        if (law > 0.44 * RATE) break;
        const found = peakNear(stretch(x, RATE, 0.003, Math.max(6 / f0, 0.05)), law);
        expect(Math.abs(centsBetween(found, law)), `string ${s}, partial ${n}`).toBeLessThan(5);
      }
    }
  });

  it('are absent above 0.45 of the sample rate', () => {
    const x = renderString({ string: 46, position: 1, technique: 'nail', layer: 'loud', sampleRate: RATE });
    const s = stretch(x, RATE, 0.002, 0.1);
    const first = amplitudeAt(s, stringFrequency(46, 1));
    for (let f = 22_300; f < 24_000; f += 100) expect(dB(amplitudeAt(s, f) / first)).toBeLessThan(-80);
  });

  it.each([3, 5])('vanish at every %dth when plucked at that fraction: 20 dB under both neighbours', (m) => {
    for (const s of [0, 8, 16, 24, 30]) {
      const f0 = equalTempered(keyOf(s, 0));
      const b = stringModel(s).stiffness;
      const x = renderString({
        string: s,
        position: 0,
        technique: 'ordinary',
        layer: 'loud',
        sampleRate: RATE,
        maxSeconds: 0.6,
        pluckAt: 1 / m,
      });
      const part = stretch(x, RATE, 0.003, Math.max(6 / f0, 0.05));
      const level = (n: number): number => amplitudeAt(part, n * f0 * Math.sqrt((1 + b * n * n) / (1 + b)));
      for (const n of [m, 2 * m]) {
        expect(dB(level(n) / Math.min(level(n - 1), level(n + 1))), `string ${s}, partial ${n}`).toBeLessThan(
          -20,
        );
      }
    }
  });
});
