/** The offline mix: nothing lost, nothing clipped, silenced strings silent, the same bytes twice; and its WAV file. */
import { describe, expect, it } from 'vitest';
import { micros } from '../../src/base/units';
import { seededRandom } from '../../src/base/random';
import { NATURAL_SETTING } from '../../src/harp/setting';
import type { Dynamic } from '../../src/music/passage';
import { CEILING, HOUSE, createVoiceBank, mix } from '../../src/sound/mix';
import { type PlayedNote, positionOfNote, voicesNeeded } from '../../src/sound/note';
import { writeWav } from '../../src/sound/wav';
import { dB, peak, rms } from './measure';
import { type Sketch, note, sharpest } from './sketch';

const RATE = 48_000;

function dense(seconds: number, rate: number, dynamic: Dynamic): PlayedNote[] {
  const random = seededRandom('dense');
  return Array.from({ length: seconds * rate }, (_, i) =>
    note({
      string: random.below(47),
      at: i / rate,
      position: random.pick([-1, 0, 1]),
      dynamic,
      hand: random.pick(['L', 'R'] as const),
    }),
  );
}
describe('mix', () => {
  it('adds voices: two notes together are the two apart', () => {
    const notes = [
      note({ string: 14, at: 0, hand: 'L' }),
      note({ string: 28, at: 0.3, hand: 'R', technique: 'table' }),
    ];
    const bank = createVoiceBank();
    const both = mix(notes, { bank });
    const apart = notes.map((n) => mix([n], { bank }));
    for (let i = 0; i < both.left.length; i += 17) {
      const sum = (apart[0]!.left[i] ?? 0) + (apart[1]!.left[i] ?? 0);
      // The two tails are cut at different places: compare before either.
      if (i < 3.5 * RATE) expect(Math.abs(both.left[i]! - sum)).toBeLessThan(1e-7);
    }
  });

  it('loses no voice at 16 notes a second with everything ringing', () => {
    const notes = dense(8, 16, 'mf');
    const bank = createVoiceBank();
    const whole = mix(notes, { bank });
    expect(whole.peak).toBeLessThan(CEILING);
    for (const left of notes.filter((_, i) => i % 16 === 5)) {
      const without = mix(
        notes.filter((n) => n !== left),
        { bank },
      );
      const from = Math.round((left.onset / 1e6) * RATE);
      const difference = whole.left.slice(from, from + 2400).map((x, i) => x - without.left[from + i]!);
      expect(rms(difference), left.id).toBeGreaterThan(1e-3);
    }
  });

  it('stays at or under −1 dBFS through 60 s of dense, loud playing, without a click', () => {
    // Pedals move under it, open strings answer, a room rings: everything that can add up does.
    const notes = dense(60, 16, 'fff').map((n, i) => ({
      ...n,
      setting: NATURAL_SETTING,
      ...(i % 8 === 0 ? { bends: [{ at: micros(n.onset + 300_000), semitones: 1 }] } : {}),
    }));
    const made = mix(notes, HOUSE());
    expect(dB(made.peak)).toBeLessThan(-1);
    expect(peak(made.left)).toBeLessThanOrEqual(made.peak);
    expect(peak(made.right)).toBeLessThanOrEqual(made.peak);
    expect(made.left.every(Number.isFinite)).toBe(true);
    // Click threshold: a jump in slope of 0.35 of full scale in one sample; the brightest string's own is about 0.2.
    expect(sharpest(made.left, 0, made.left.length)).toBeLessThan(0.35);
  });

  it('ends the old sound of a string that is plucked again, without a click', () => {
    const bank = createVoiceBank();
    const first = note({ string: 10, at: 0, dynamic: 'ff' });
    const again = note({ string: 10, at: 1, dynamic: 'pp' });
    const both = mix([first, again], { bank });
    const only = mix([{ ...again, onset: micros(0) }], { bank });
    const at = RATE + Math.round(0.02 * RATE);
    for (let i = 0; i < 4800; i += 7) {
      expect(Math.abs(both.left[at + i]! - only.left[at - RATE + i]!)).toBeLessThan(1e-6);
    }
    expect(sharpest(both.left, RATE - 10, at)).toBeLessThan(0.004);
  });

  it('silences damped strings: −40 dB within 150 ms, without a click', () => {
    for (let string = 0; string < 47; string += 2) {
      const made = mix([note({ string, at: 0, damp: 0.15 })], { tail: 1.5 });
      const before = peak(made.left, Math.round(0.1 * RATE), Math.round(0.15 * RATE));
      expect(before, `string ${string}`).toBeGreaterThan(1e-3);
      expect(dB((peak(made.left, Math.round(0.3 * RATE)) + 1e-9) / before)).toBeLessThan(-40);
      expect(sharpest(made.left, Math.round(0.14 * RATE), made.left.length)).toBeLessThan(0.02);
    }
  });

  it('places bass left, treble right, and the hands to their sides', () => {
    const side = (s: Omit<Sketch, 'at'>): number => {
      const made = mix([note({ at: 0, ...s })]);
      return rms(made.right) / rms(made.left);
    };
    expect(side({ string: 2 })).toBeLessThan(0.8);
    expect(side({ string: 44 })).toBeGreaterThan(1.25);
    expect(side({ string: 23, hand: 'R' })).toBeGreaterThan(side({ string: 23, hand: 'L' }));
  });

  it('rises with every dynamic', () => {
    const levels = (['ppp', 'pp', 'p', 'mp', 'mf', 'f', 'ff', 'fff'] as const).map((dynamic) =>
      dB(rms(mix([note({ string: 20, at: 0, dynamic })]).left, 0, 9600)),
    );
    for (let i = 1; i < levels.length; i++) expect(levels[i]! - levels[i - 1]!).toBeGreaterThan(1);
  });

  it('gives the same bytes twice, whatever the order of the notes, and silence for none', () => {
    const notes = dense(3, 12, 'f');
    const a = mix(notes);
    const b = mix(notes);
    expect(Buffer.from(a.left.buffer).equals(Buffer.from(b.left.buffer))).toBe(true);
    expect(mix([])).toMatchObject({ peak: 0 });
    expect(mix([]).left.length).toBe(0);
  });

  it('reads the position of the pedal from the key that sounds', () => {
    for (const technique of ['ordinary', 'harmonic'] as const) {
      for (const position of [-1, 0, 1] as const) {
        for (let string = 0; string < 47; string++) {
          expect(positionOfNote(note({ string, at: 0, position, technique }))).toBe(position);
        }
      }
    }
  });

  it('needs each sound once', () => {
    const notes = [0, 1, 2, 3].map((i) =>
      note({ string: 20 + (i % 2), at: i, dynamic: i === 3 ? 'ff' : 'mf' }),
    );
    expect(voicesNeeded(notes).map((v) => `${v.string} ${v.layer}`)).toEqual([
      '20 medium',
      '21 medium',
      '21 loud',
    ]);
  });
});

describe('WAV', () => {
  const left = Float32Array.from([0, 0.5, -0.5, 1, -1, 2, 1 / 3]);
  const right = left.map((x) => -x);

  it.each([16, 24] as const)('%d bit: RIFF header and samples as the format says', (bits) => {
    const bytes = writeWav(left, right, RATE, { bits });
    const view = new DataView(bytes.buffer);
    const text = (at: number): string => String.fromCharCode(...bytes.slice(at, at + 4));
    expect([text(0), text(8), text(12), text(36)]).toEqual(['RIFF', 'WAVE', 'fmt ', 'data']);
    expect(view.getUint32(4, true)).toBe(bytes.length - 8);
    expect(view.getUint16(20, true)).toBe(1);
    expect(view.getUint16(22, true)).toBe(2);
    expect(view.getUint32(24, true)).toBe(RATE);
    expect(view.getUint32(28, true)).toBe((RATE * 2 * bits) / 8);
    expect(view.getUint16(34, true)).toBe(bits);
    expect(view.getUint32(40, true)).toBe(bytes.length - 44);
    const full = 2 ** (bits - 1) - 1;
    const sample = (i: number): number => {
      const at = 44 + (i * bits) / 8;
      return bits === 16 ? view.getInt16(at, true) : (view.getInt8(at + 2) << 16) | view.getUint16(at, true);
    };
    left.forEach((x, i) => {
      const clipped = Math.max(-1, Math.min(1, x));
      expect(Math.abs(sample(2 * i) - clipped * full)).toBeLessThanOrEqual(0.5);
      expect(Math.abs(sample(2 * i + 1) + clipped * full)).toBeLessThanOrEqual(0.5);
    });
  });
});
