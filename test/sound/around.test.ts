/** What lies around the strings: sympathetic ring, the room, a player's unevenness. */
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random';
import { NATURAL_SETTING, withPosition } from '../../src/harp/setting';
import { TOP_STRING } from '../../src/harp/strings';
import type { Technique } from '../../src/music/passage';
import { DRY, HOUSE, mix } from '../../src/sound/mix';
import { noteGain } from '../../src/sound/note';
import { renderString } from '../../src/sound/render-string';
import { ROOM_SECONDS, addRoom, roomImpulse } from '../../src/sound/room';
import { haloPartials } from '../../src/sound/sympathy';
import { UNEVEN_MICROS, uneven } from '../../src/sound/uneven';
import { amplitudeAt, dB, equalTempered, peak, rms, stretch } from './measure';
import { note } from './sketch';

const RATE = 48_000;
const request = (string: number, technique: Technique = 'ordinary') =>
  ({ string, position: 0, technique, layer: 'loud', sampleRate: RATE }) as const;
const all = Array.from({ length: TOP_STRING + 1 }, (_, s) => s);

describe('sympathetic ring', () => {
  it('is bounded work, swells from silence, and lies well under its note on every string', () => {
    for (const s of all) {
      expect(haloPartials(request(s), NATURAL_SETTING).length).toBeLessThanOrEqual(16);
      const halo = renderString({ ...request(s), halo: NATURAL_SETTING });
      const own = renderString({ ...request(s), maxSeconds: 1.5 });
      expect(halo.every(Number.isFinite)).toBe(true);
      expect(Math.abs(halo[0] ?? 0)).toBeLessThan(1e-6);
      expect(dB((rms(halo, 0, RATE) + 1e-9) / rms(own, 0, RATE)), `string ${s}`).toBeLessThan(-20);
    }
  });

  it('rings on when its own string is silenced, and is heard', () => {
    // C4 is plucked, and its string taken up again without a sound of its own to speak of.
    const sketch = [
      { string: 21, at: 0, dynamic: 'ff' },
      { string: 21, at: 0.5, dynamic: 'ppp', technique: 'etouffe' },
    ] as const;
    const part = (setting: number | null): Float32Array =>
      mix(sketch.map((s) => note(setting === null ? s : { ...s, setting }))).left;
    const [a, b] = [RATE, Math.round(1.4 * RATE)];
    expect(rms(part(NATURAL_SETTING), a, b)).toBeGreaterThan(10 * rms(part(null), a, b) + 1e-6);
  });

  it('comes from the strings whose pedals agree: G♯ above C4 does not answer where G does', () => {
    const third = 3 * equalTempered(60);
    const level = (setting: number): number => {
      const halo = renderString({ ...request(21), halo: setting });
      return amplitudeAt(stretch(halo, RATE, 0.3, 0.5), third);
    };
    const without = withPosition(NATURAL_SETTING, 'G', 1);
    expect(dB(level(NATURAL_SETTING) / (level(without) + 1e-12))).toBeGreaterThan(6);
  });

  it('stops under a flat hand: −40 dB within 150 ms', () => {
    const made = mix([note({ string: 20, at: 0, damp: 0.8, setting: NATURAL_SETTING, dynamic: 'ff' })]);
    const before = peak(made.left, Math.round(0.75 * RATE), Math.round(0.8 * RATE));
    expect(dB((peak(made.left, Math.round(0.95 * RATE)) + 1e-9) / before)).toBeLessThan(-40);
  });
});

describe('room', () => {
  it('dies away by 60 dB in its time (energy decay, Schroeder 1965), within a quarter', () => {
    const { left, right } = roomImpulse(RATE);
    for (const side of [left, right]) {
      const rest = new Float64Array(side.length + 1);
      for (let i = side.length - 1; i >= 0; i--) rest[i] = rest[i + 1]! + side[i]! ** 2;
      const at = (db: number): number => rest.findIndex((e) => 10 * Math.log10(e / rest[0]!) < db) / RATE;
      const t60 = 3 * (at(-25) - at(-5));
      expect(t60).toBeGreaterThan(0.6 * ROOM_SECONDS);
      expect(t60).toBeLessThan(1.1 * ROOM_SECONDS);
    }
  });

  it('answers both sides, each in its own way, and does not blow up', () => {
    const { left, right } = roomImpulse(RATE);
    let product = 0;
    for (let i = 0; i < left.length; i++) product += left[i]! * right[i]!;
    expect(Math.abs(product) / (rms(left) * rms(right) * left.length)).toBeLessThan(0.5);
    const long = new Float32Array(20 * RATE).fill(0.1, 0, RATE);
    const other = long.slice();
    addRoom(long, other, RATE);
    expect(peak(long)).toBeLessThan(0.5);
    expect(peak(long, 10 * RATE)).toBeLessThan(1e-6);
  });

  it('is left out unless asked for', () => {
    const notes = [note({ string: 25, at: 0, damp: 0.5 })];
    const dry = mix(notes);
    const wet = mix(notes, { room: true });
    expect(wet.left.length).toBeGreaterThan(dry.left.length + 0.9 * ROOM_SECONDS * RATE);
    const after = Math.round(0.65 * RATE);
    expect(rms(wet.left, after, after + 9600)).toBeGreaterThan(20 * rms(dry.left, after, after + 9600));
  });
});

describe('unevenness', () => {
  const line = Array.from({ length: 64 }, (_, i) => note({ string: 10 + (i % 30), at: 0.5 + i / 16 }));

  it('moves strokes and levels a little, each differently, the same for the same seed', () => {
    const a = uneven(line, seededRandom(1));
    expect(a).toEqual(uneven(line, seededRandom(1)));
    expect(a).not.toEqual(uneven(line, seededRandom(2)));
    const moved = a.map((n, i) => n.onset - line[i]!.onset);
    expect(Math.max(...moved.map(Math.abs))).toBeLessThanOrEqual(UNEVEN_MICROS);
    expect(new Set(moved).size).toBeGreaterThan(30);
    const levels = a.map((n, i) => dB(noteGain(n) / noteGain(line[i]!)));
    expect(Math.max(...levels.map(Math.abs))).toBeLessThanOrEqual(1.51);
    expect(new Set(levels).size).toBeGreaterThan(30);
  });

  it('keeps the order of the fastest sweep, and stays before a release', () => {
    const sweep = Array.from({ length: 40 }, (_, i) => note({ string: i, at: i * 0.006, damp: 0.236 }));
    for (let seed = 0; seed < 20; seed++) {
      const played = uneven(sweep, seededRandom(seed));
      for (let i = 1; i < played.length; i++) expect(played[i]!.onset).toBeGreaterThan(played[i - 1]!.onset);
      for (const n of played) expect(n.onset).toBeLessThan(n.release!);
      expect(played[0]!.onset).toBeGreaterThanOrEqual(0);
    }
  });
});

describe('a rendering', () => {
  const notes = Array.from({ length: 40 }, (_, i) =>
    note({ string: (i * 7) % 47, at: i / 12, setting: NATURAL_SETTING, dynamic: 'ff' }),
  );

  it('is the same sample for sample each time, in the house and dry', () => {
    const a = mix(notes, HOUSE());
    const b = mix(notes, HOUSE());
    expect(Buffer.from(a.left.buffer).equals(Buffer.from(b.left.buffer))).toBe(true);
    expect(Buffer.from(a.right.buffer).equals(Buffer.from(b.right.buffer))).toBe(true);
    expect(dB(a.peak)).toBeLessThan(-1);
    const dry = mix(notes, DRY);
    expect(Buffer.from(dry.left.buffer).equals(Buffer.from(mix(notes, DRY).left.buffer))).toBe(true);
  });

  it('dry is the bare strings: nothing sounds before, around or after them', () => {
    const one = mix([note({ string: 20, at: 0, setting: NATURAL_SETTING })], DRY);
    const bare = renderString({ ...request(20), layer: 'medium', body: false });
    let largest = 0;
    for (let i = 0; i < bare.length && i < 3 * RATE; i += 13) {
      largest = Math.max(largest, Math.abs(one.left[i]! / one.left[2000]! - bare[i]! / bare[2000]!));
    }
    expect(largest).toBeLessThan(1e-5);
  });
});
