/** A pedal moved under a ringing string: heard at its new pitch, unbroken, from the move on. */
import { describe, expect, it } from 'vitest';
import { ticks } from '../../src/base/units';
import { CONCERT_HARP } from '../../src/harp/instrument';
import { perform } from '../../src/harp/performance';
import { NATURAL_SETTING, type Position } from '../../src/harp/setting';
import { stringPitch } from '../../src/harp/strings';
import { makeBars } from '../../src/music/metre';
import type { Damp, Pluck } from '../../src/music/passage';
import { midiOf, type Letter } from '../../src/music/pitch';
import { BEND_SECONDS, glidesOf, semitones } from '../../src/sound/bend';
import { mix } from '../../src/sound/mix';
import { centsBetween, dB, equalTempered, peakNear, rms, stretch } from './measure';
import { note, sharpest } from './sketch';

const RATE = 48_000;
const Q = 3360;
const pluck = (id: string, beat: number, letter: Letter, octave: number, alter: Position = 0): Pluck => ({
  id,
  onset: ticks(beat * Q),
  duration: ticks(Q),
  pitch: { letter, alter, octave },
  hand: 'R',
  finger: null,
  technique: 'ordinary',
  dynamic: 'mf',
});
function played(
  plucks: readonly Pluck[],
  moves: readonly [beat: number, letter: Letter, from: Position, to: Position][],
  damps: readonly Damp[] = [],
) {
  return perform({
    passage: {
      title: 't',
      bars: makeBars({ beats: 4, unit: 4 }, 4),
      tempo: [{ onset: ticks(0), milliBpm: 60_000 }],
      fifths: 0,
      plucks,
      rolls: [],
      sweeps: [],
      trembles: [],
      chords: [],
      damps,
    },
    instrument: CONCERT_HARP,
    start: NATURAL_SETTING,
    moves: moves.map(([beat, letter, from, to]) => ({
      onset: ticks(beat * Q),
      letter,
      from,
      to,
      foot: 'left' as const,
    })),
    tuning: {},
  });
}

describe('which notes bend', () => {
  it('those of the moved letter that still ring, and no others', () => {
    const notes = played(
      [pluck('c4', 0, 'C', 4), pluck('c5', 0, 'C', 5), pluck('d4', 0, 'D', 4), pluck('c6', 3, 'C', 6, 1)],
      [[2, 'C', 0, 1]],
    );
    const bends = (id: string) => notes.find((n) => n.id === id)?.bends;
    expect(bends('c4')).toEqual([{ at: 2_000_000, semitones: 1 }]);
    expect(bends('c5')).toEqual([{ at: 2_000_000, semitones: 1 }]);
    expect(bends('d4')).toBeUndefined();
    expect(bends('c6')).toBeUndefined();
  });

  it('not a string plucked again or damped before, nor a note plucked with the move', () => {
    const again = played([pluck('a', 0, 'C', 4), pluck('b', 1, 'C', 4, 1)], [[1, 'C', 0, 1]]);
    expect(again.map((n) => n.bends)).toEqual([undefined, undefined]);
    const damped = played([pluck('a', 0, 'C', 4)], [[2, 'C', 0, 1]], [{ onset: ticks(Q) }]);
    expect(damped[0]?.bends).toBeUndefined();
  });

  it('counts from the note as struck through several moves, and leaves discless strings alone', () => {
    const notes = played(
      [pluck('a', 0, 'F', 4), pluck('low', 0, 'C', 1)],
      [
        [1, 'F', 0, -1],
        [2, 'F', -1, 1],
        [2, 'C', 0, 1],
      ],
    );
    expect(notes.find((n) => n.id === 'a')?.bends?.map((b) => b.semitones)).toEqual([-1, 1]);
    expect(notes.find((n) => n.id === 'low')?.bends).toBeUndefined();
  });

  it('knows the setting of every note', () => {
    const notes = played([pluck('a', 0, 'C', 4), pluck('b', 3, 'C', 5, 1)], [[2, 'C', 0, 1]]);
    expect(notes[0]?.setting).toBe(NATURAL_SETTING);
    expect(notes[1]?.setting).not.toBe(NATURAL_SETTING);
  });
});

describe('how a bend sounds', () => {
  it.each([-2, -1, 1, 2])('%i semitones: in tune before and after, within 1 cent', (n) => {
    for (const string of [7, 14, 21, 26]) {
      const position: Position = n < 0 ? 1 : -1;
      const { left } = mix([note({ string, at: 0, position, bends: [[0.8, n]] })]);
      const f = equalTempered(midiOf(stringPitch(string, position)));
      expect(Math.abs(centsBetween(peakNear(stretch(left, RATE, 0.2, 0.4), f), f))).toBeLessThan(1);
      const to = f * 2 ** (n / 12);
      const found = peakNear(stretch(left, RATE, 0.95, 0.5), to);
      expect(Math.abs(centsBetween(found, to)), `string ${string}`).toBeLessThan(1);
    }
  });

  it('has moved by the time the pedal stands, not before it starts, and without a click', () => {
    const sketch = { string: 18, at: 0, dynamic: 'ff' } as const;
    const plain = mix([note(sketch)]).left;
    const bent = mix([note({ ...sketch, bends: [[0.5, 1]] })]).left;
    const starts = Math.floor((0.5 - BEND_SECONDS) * RATE);
    for (let i = 0; i < starts; i += 5) expect(bent[i]).toBe(plain[i]);
    // A hundredth of the click threshold of a mix (0.35 of full scale).
    expect(sharpest(bent, starts - 10, RATE)).toBeLessThan(0.0035);
  });

  it('buzzes lightly while it moves: more upper partials than the ring, less than the ring itself', () => {
    const bright = (x: Float32Array): Float32Array =>
      x.map((v, i) => v - 2 * (x[i - 1] ?? 0) + (x[i - 2] ?? 0));
    const sketch = { string: 18, at: 0, dynamic: 'f' } as const;
    const [a, b] = [Math.round(0.45 * RATE), Math.round(0.53 * RATE)];
    const plain = mix([note(sketch)]).left;
    const bent = mix([note({ ...sketch, bends: [[0.5, 1]] })]).left;
    expect(dB(rms(bright(bent), a, b) / rms(bright(plain), a, b))).toBeGreaterThan(3);
    expect(rms(bent, a, b)).toBeLessThan(1.5 * rms(plain, a, b));
    // 0.3 s later the buzz is gone, and the string has lost no more than 3 dB by it.
    const [c, d] = [Math.round(0.8 * RATE), Math.round(1 * RATE)];
    expect(dB(rms(bent, c, d) / rms(plain, c, d))).toBeGreaterThan(-5);
    expect(dB(rms(bent, c, d) / rms(plain, c, d))).toBeLessThan(-1);
  });

  it('keeps glides in order when pedals move fast', () => {
    const glides = glidesOf(
      note({
        string: 20,
        at: 0,
        bends: [
          [0.03, 1],
          [0.06, 2],
          [0.09, 1],
        ],
      }),
    );
    expect(glides.length).toBe(3);
    glides.forEach((g, i) => {
      expect(g.to).toBeGreaterThan(g.from);
      if (i > 0) expect(g.from).toBeGreaterThanOrEqual(glides[i - 1]!.to);
    });
    expect(glides.at(-1)?.after).toBeCloseTo(2 ** (1 / 12), 12);
    expect(semitones(-2)).toBeCloseTo(2 ** (-2 / 12), 12);
  });

  it('gives the same bytes twice', () => {
    const notes = [note({ string: 12, at: 0, bends: [[0.4, 1]] }), note({ string: 20, at: 0.2 })];
    expect(Buffer.from(mix(notes).left.buffer).equals(Buffer.from(mix(notes).left.buffer))).toBe(true);
  });
});
