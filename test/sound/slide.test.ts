// A written slide: heard whole. Its pitch is followed by demodulation, which knows nothing of how it was made.
import { describe, expect, it } from 'vitest';
import { ticks } from '../../src/base/units';
import { CONCERT_HARP } from '../../src/harp/instrument';
import { type PlayedNote, perform } from '../../src/harp/performance';
import type { Move } from '../../src/harp/planned';
import { NATURAL_SETTING } from '../../src/harp/setting';
import { stringPitch } from '../../src/harp/strings';
import { makeBars } from '../../src/music/metre';
import type { Passage, Pluck, Slide } from '../../src/music/passage';
import { type Letter, midiOf } from '../../src/music/pitch';
import { SLIDE_SECONDS } from '../../src/sound/bend';
import { mix } from '../../src/sound/mix';
import { renderWav } from '../../src/sound/render-wav';
import { centsBetween, dB, equalTempered, rms } from './measure';
import { note } from './sketch';

const RATE = 48_000;
const Q = 3360;

/** The frequency around a moment: the signal turned back by a guess, smoothed by a Hann window, its phase's slope. */
function frequencyAt(x: Float32Array, seconds: number, guess: number, window = 0.04): number {
  const phase = (centre: number): number => {
    const n = Math.round(window * RATE);
    let [re, im] = [0, 0];
    for (let k = 0; k < n; k++) {
      const i = centre - (n >> 1) + k;
      const w = (x[i] ?? 0) * (1 - Math.cos((2 * Math.PI * (k + 0.5)) / n));
      const angle = (2 * Math.PI * guess * i) / RATE;
      re += w * Math.cos(angle);
      im -= w * Math.sin(angle);
    }
    return Math.atan2(im, re);
  };
  const step = 48;
  const at = Math.round(seconds * RATE);
  const turn = phase(at + step) - phase(at - step);
  const wrapped = turn - 2 * Math.PI * Math.round(turn / (2 * Math.PI));
  return guess + (wrapped * RATE) / (2 * Math.PI * 2 * step);
}

const slid = (semitones: number): PlayedNote => {
  const base = note({ string: 28, at: 0, position: semitones < 0 ? 1 : -1, bends: [[1, semitones]] });
  return { ...base, bends: (base.bends ?? []).map((b) => ({ ...b, slide: true as const })) };
};

describe('how a slide sounds', () => {
  it.each([-2, -1, 1, 2])(
    '%i semitones: starts in tune, glides for a fifth of a second, arrives in tune',
    (n) => {
      const { left } = mix([slid(n)], { body: false, sympathy: false });
      const f = equalTempered(midiOf(stringPitch(28, n < 0 ? 1 : -1)));
      const middle = f * 2 ** (n / 24);
      const cents = (t: number): number => centsBetween(frequencyAt(left, t, middle), f);
      for (const t of [0.4, 0.6, 0.76]) expect(Math.abs(cents(t))).toBeLessThan(4);
      for (const t of [1.04, 1.2, 1.5]) expect(Math.abs(cents(t) - 100 * n)).toBeLessThan(4);
      // Halfway in frequency, halfway in time; and on the way at every hundredth of a second.
      const half = 1 - SLIDE_SECONDS / 2;
      expect(Math.abs(cents(half) - centsBetween((f + f * 2 ** (n / 12)) / 2, f))).toBeLessThan(8);
      const path = Array.from({ length: 21 }, (_, i) => cents(1 - SLIDE_SECONDS + i * 0.01) * Math.sign(n));
      path.forEach((c, i) => {
        if (i > 0) expect(c).toBeGreaterThan(path[i - 1]! - 3);
      });
      const between = path.filter((c) => c > 10 * Math.abs(n) && c < 90 * Math.abs(n)).length;
      expect(between).toBeGreaterThanOrEqual(15);
    },
  );

  it('is slower and loses less than a pedal that moves by the way', () => {
    const bare = { body: false, sympathy: false } as const;
    const slide = mix([slid(1)], bare).left;
    const bend = mix([note({ string: 28, at: 0, position: -1, bends: [[1, 1]] })], bare).left;
    const plain = mix([note({ string: 28, at: 0, position: -1 })], bare).left;
    const f = equalTempered(midiOf(stringPitch(28, -1)));
    // A tenth of a second before the pedal stands: half a semitone up against none.
    expect(centsBetween(frequencyAt(slide, 0.9, f), f)).toBeGreaterThan(35);
    expect(Math.abs(centsBetween(frequencyAt(bend, 0.9, f), f))).toBeLessThan(4);
    const after = (x: Float32Array): number => rms(x, Math.round(1.2 * RATE), Math.round(1.4 * RATE));
    expect(dB(after(slide) / after(plain))).toBeGreaterThan(-2.5);
    expect(dB(after(slide) / after(bend))).toBeGreaterThan(1.5);
  });
});

const pluck = (id: string, beat: number, letter: Letter, octave: number): Pluck => ({
  id,
  onset: ticks(beat * Q),
  duration: ticks(Q),
  pitch: { letter, alter: 0, octave },
  hand: 'R',
  finger: null,
  technique: 'ordinary',
  dynamic: 'mf',
});
const passage = (plucks: Pluck[], slides: Slide[]): Passage => ({
  title: 't',
  bars: makeBars({ beats: 4, unit: 4 }, 2),
  tempo: [{ onset: ticks(0), milliBpm: 60_000 }],
  fifths: 0,
  plucks,
  rolls: [],
  sweeps: [],
  trembles: [],
  chords: [],
  damps: [],
  slides,
});
const toSharp = (id: string, of: string, beat: number): Slide => ({
  id,
  pluck: of,
  onset: ticks(beat * Q),
  to: { letter: 'C', alter: 1, octave: 5 },
});
const planned = (p: Passage, moves: Move[]) => ({
  passage: p,
  instrument: CONCERT_HARP,
  start: NATURAL_SETTING,
  moves,
  tuning: {},
});
const sharpen: Move = { onset: ticks(2 * Q), letter: 'C', from: 0, to: 1, foot: 'left' };

describe('perform', () => {
  it('gives the slide to its own pluck, and the pedal’s blur to other strings of the letter', () => {
    const p = passage(
      [pluck('a', 0, 'C', 5), pluck('b', 0, 'C', 4), pluck('d', 0, 'D', 5)],
      [toSharp('s', 'a', 2)],
    );
    const bends = Object.fromEntries(perform(planned(p, [sharpen])).map((n) => [n.id, n.bends]));
    expect(bends).toEqual({
      a: [{ at: 2_000_000, semitones: 1, slide: true }],
      b: [{ at: 2_000_000, semitones: 1 }],
      d: undefined,
    });
  });

  it('hears a slide that no plan has moved for yet, and none on a string that is silent', () => {
    const p = passage([pluck('a', 0, 'C', 5)], [toSharp('s', 'a', 2)]);
    expect(perform(planned(p, []))[0]?.bends).toEqual([{ at: 2_000_000, semitones: 1, slide: true }]);
    const again = passage([pluck('a', 0, 'C', 5), pluck('b', 1, 'C', 5)], [toSharp('s', 'a', 2)]);
    expect(perform(planned(again, [])).map((n) => n.bends)).toEqual([undefined, undefined]);
  });

  it('reaches the file: a rendered part ends a semitone higher', () => {
    const p = passage([pluck('a', 0, 'C', 5)], [toSharp('s', 'a', 1)]);
    const wav = renderWav(perform(planned(p, [])), { dry: true }).bytes;
    const view = new DataView(wav.buffer, wav.byteOffset + 44);
    const left = Float32Array.from(
      { length: Math.floor(view.byteLength / 4) },
      (_, i) => view.getInt16(4 * i, true) / 32768,
    );
    expect(Math.abs(centsBetween(frequencyAt(left, 0.6, equalTempered(72)), equalTempered(72)))).toBeLessThan(
      4,
    );
    expect(Math.abs(centsBetween(frequencyAt(left, 1.3, equalTempered(73)), equalTempered(73)))).toBeLessThan(
      4,
    );
  });
});
