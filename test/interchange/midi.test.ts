// MIDI that we write, read by a second library.
import fc from 'fast-check';
import MIDIFile from 'midifile';
import { describe, expect, it } from 'vitest';
import { perform } from '../../src/harp/performance';
import { beatGrid, quantize } from '../../src/interchange/midi/grid';
import { writeMidi } from '../../src/interchange/midi-write';
import { readPart } from '../../src/interchange/read-part';
import { midiOf } from '../../src/music/pitch';
import type { Move } from '../../src/harp/planned';
import type { Passage, Pluck } from '../../src/music/passage';
import { ticks } from '../../src/base/units';
import { emptyPassage, onConcertHarp, plannedPassages } from './passages';

interface Event {
  readonly type: number;
  readonly subtype: number;
  readonly delta: number;
  readonly channel?: number;
  readonly param1?: number;
  readonly param2?: number;
  readonly tempo?: number;
  readonly data?: number[];
}

const META = 0xff;

const tracksOf = (bytes: Uint8Array) => {
  const file = new MIDIFile(bytes.slice().buffer, true);
  const count: number = file.header.getTracksCount();
  const tracks = Array.from({ length: count }, (_, i) => {
    let at = 0;
    return (file.getTrackEvents(i) as Event[]).map((event) => {
      at += event.delta;
      return { ...event, at };
    });
  });
  return {
    format: file.header.getFormat() as number,
    perBeat: file.header.getTicksPerBeat() as number,
    tracks,
  };
};

describe('MIDI', () => {
  it('is read by a second library: the same notes, tempo, metre, program', () => {
    let notes = 0;
    fc.assert(
      fc.property(plannedPassages, (planned) => {
        const { format, perBeat, tracks } = tracksOf(writeMidi(planned));
        expect([format, perBeat, tracks.length]).toEqual([1, 3360, 3]);
        const [conductor, ...hands] = tracks as [(Event & { at: number })[], ...(Event & { at: number })[][]];
        const { passage } = planned;
        expect(
          conductor.filter((e) => e.type === META && e.subtype === 0x51).map((e) => [e.at, e.tempo]),
        ).toEqual(passage.tempo.map((t) => [t.onset, Math.round(60_000_000_000 / t.milliBpm)]));
        const metre = passage.bars[0]?.metre;
        const time = conductor.find((e) => e.type === META && e.subtype === 0x58);
        expect([time?.data?.[0], 2 ** (time?.data?.[1] ?? 0)]).toEqual([metre?.beats, metre?.unit]);
        const played = perform(planned);
        hands.forEach((track, i) => {
          const side = i === 0 ? 'R' : 'L';
          expect(track.find((e) => e.subtype === 0xc)?.param1).toBe(46);
          const on = track
            .filter((e) => e.subtype === 0x9 && e.param2 !== 0)
            .map((e) => `${e.at} ${e.param1}`);
          // Two strings at one pitch and one tick are one note of MIDI.
          const wanted = new Set(played.filter((n) => n.hand === side).map((n) => `${n.tick} ${n.midi}`));
          expect([...on].sort()).toEqual([...wanted].sort());
          const off = track.filter((e) => e.subtype === 0x8 || (e.subtype === 0x9 && e.param2 === 0));
          expect(off).toHaveLength(on.length);
          // No key sounds twice at once, and all end.
          const down = new Set<number>();
          for (const event of track) {
            if (event.subtype === 0x9) {
              expect(down.has(event.param1 as number)).toBe(false);
              down.add(event.param1 as number);
            } else if (event.subtype === 0x8) down.delete(event.param1 as number);
          }
          expect(down.size).toBe(0);
          notes += on.length;
        });
      }),
      { numRuns: 60, seed: 3 },
    );
    expect(notes).toBeGreaterThan(2000);
  });

  it('is plain ASCII in its texts and the same each time', () => {
    fc.assert(
      fc.property(plannedPassages, (planned) => {
        const bytes = writeMidi(planned);
        expect(writeMidi(planned)).toEqual(bytes);
        const text = String.fromCharCode(...bytes);
        expect(text).toContain('Bb7b9/D');
        expect(text).toContain('Etude & <trial>');
      }),
      { numRuns: 5, seed: 3 },
    );
  });
});

describe('MIDI as asked', () => {
  const pluck = (id: string, onset: number, letter: 'C' | 'E' | 'G'): Pluck => ({
    ...{ id, onset: ticks(onset), duration: ticks(3360), pitch: { letter, alter: 0, octave: 4 }, hand: 'R' },
    ...{ finger: null, technique: 'ordinary', dynamic: 'mf' },
  });
  const passage: Passage = {
    ...emptyPassage({ beats: 4, unit: 4 }, 2),
    plucks: [pluck('a', 0, 'C'), pluck('b', 0, 'E'), pluck('c', 0, 'G')],
    rolls: [{ id: 'r', plucks: ['a', 'b', 'c'], direction: 'up' }],
    sweeps: [
      {
        id: 's',
        onset: ticks(13440),
        duration: ticks(6720),
        hand: 'L',
        from: 14,
        to: 28,
        settings: [1093],
        dynamic: 'f',
      },
    ],
    slides: [{ id: 'bend', pluck: 'a', onset: ticks(5040), to: { letter: 'C', alter: 1, octave: 4 } }],
  };
  const move: Move = { onset: ticks(5040), letter: 'C', from: 0, to: 1, foot: 'left' };
  const planned = onConcertHarp(passage, undefined, [move]);

  it('bends a pedal slide on a channel of its own, the note sounding on to it', () => {
    const right = tracksOf(writeMidi(planned, undefined, { bends: true })).tracks[1] ?? [];
    const bends = right.filter((e) => e.subtype === 0xe);
    const value = (e: Event) => (e.param1 ?? 0) + 128 * (e.param2 ?? 0) - 8192;
    expect(bends.map((e) => [e.at, value(e)])).toEqual([
      [0, 0],
      [5040, 4096],
      [8400, 0],
    ]);
    const [channel] = new Set(bends.map((e) => e.channel));
    const own = right.filter((e) => e.channel === channel && (e.subtype === 0x9 || e.subtype === 0x8));
    expect(own.map((e) => [e.subtype, e.at, e.param1])).toEqual([
      [0x9, 0, 60],
      [0x8, 8400, 60],
    ]);
    expect(right.find((e) => e.channel === channel && e.subtype === 0xc)?.param1).toBe(46);
    const plain = tracksOf(writeMidi(planned)).tracks[1] ?? [];
    expect(plain.filter((e) => e.subtype === 0xe)).toEqual([]);
  });

  it('writes rolls and sweeps as played, or as written', () => {
    const on = (bytes: Uint8Array, track: number) =>
      (tracksOf(bytes).tracks[track] ?? []).filter((e) => e.subtype === 0x9).map((e) => e.at);
    expect(new Set(on(writeMidi(planned), 1)).size).toBe(3);
    expect(on(writeMidi(planned), 2)).toHaveLength(15);
    const asWritten = writeMidi(planned, undefined, { as: 'written' });
    expect(new Set(on(asWritten, 1))).toEqual(new Set([0]));
    expect(on(asWritten, 2)).toHaveLength(2);
  });
});

describe('reading MIDI', () => {
  it('finds what was written: notes, hands, tempo, metre, pedals', () => {
    let notes = 0;
    fc.assert(
      fc.property(plannedPassages, (planned) => {
        const { passage } = planned;
        // Plain plucks alone keep their written onsets; techniques that sound elsewhere are left out.
        const plucks = passage.plucks.filter((p) => p.technique !== 'harmonic');
        const plain = { ...planned, passage: { ...passage, plucks, rolls: [], sweeps: [], trembles: [] } };
        const read = readPart('x.mid', writeMidi(plain));
        if (!read.ok) throw new Error(JSON.stringify(read.problems));
        const back = read.value;
        const key = (p: (typeof plucks)[number]) => `${p.onset} ${midiOf(p.pitch)} ${p.hand} ${p.dynamic}`;
        expect([...new Set(back.passage.plucks.map(key))].sort()).toEqual(
          [...new Set(plucks.map(key))].sort(),
        );
        expect(back.passage.bars[0]?.metre).toEqual(passage.bars[0]?.metre);
        expect(back.passage.fifths).toBe(passage.fifths);
        // Whole microseconds to the quarter round the tempo by less than a hundredth.
        back.passage.tempo.forEach((t, i) => {
          expect(t.onset).toBe(passage.tempo[i]?.onset);
          expect(Math.abs(t.milliBpm - (passage.tempo[i]?.milliBpm ?? 0))).toBeLessThan(10);
        });
        expect(back.markings.settings).toEqual([{ onset: 0, setting: planned.start }]);
        expect(back.markings.moves.map((m) => [m.onset, m.letter, m.to])).toEqual(
          planned.moves.map((m) => [m.onset, m.letter, m.to]),
        );
        notes += plucks.length;
      }),
      { numRuns: 60, seed: 21 },
    );
    expect(notes).toBeGreaterThan(800);
  });

  it('quantizes played onsets to the nearest written one', () => {
    expect([3360, 1680, 1120, 672, 480].map(quantize)).toEqual([3360, 1680, 1120, 672, 480]);
    expect([3351, 1699, 1131, 2233].map(quantize)).toEqual([3360, 1680, 1120, 2240]);
  });

  it('hears each beat in one division: jittered triplets, sextuplets and sixteenths come out even', () => {
    const random = fc.sample(fc.array(fc.integer({ min: -90, max: 90 }), { minLength: 24, maxLength: 24 }), {
      numRuns: 20,
      seed: 4,
    });
    for (const jitter of random) {
      [3, 6, 4, 2].forEach((parts, beat) => {
        const unit = 3360 / parts;
        const wanted = Array.from({ length: parts }, (_, k) => beat * 3360 + k * unit);
        // Under a tenth of the unit, and never on a grid of its own by chance.
        const played = wanted.map((at, k) => {
          if (k === 0) return at;
          const moved = at + Math.trunc(((jitter[(beat * 6 + k) % 24] ?? 0) * unit) / 1200);
          return [60, 70, 84, 105].some((grid) => moved % grid === 0) ? moved + 1 : moved;
        });
        const grid = beatGrid(played);
        expect(played.map(grid)).toEqual(wanted);
      });
    }
  });

  it('reads format 0 with running status, tempo in its only track, hands by channel', () => {
    const event = [
      ...[0x00, 0xff, 0x51, 3, 0x09, 0x27, 0xc0],
      ...[0x00, 0x90, 72, 80, 0x00, 76, 80, 0x60, 72, 0, 0x00, 76, 0],
      ...[0x00, 0x91, 48, 80, 0x60, 48, 0, 0x00, 0xff, 0x2f, 0],
    ];
    const bytes = Uint8Array.from([
      ...[0x4d, 0x54, 0x68, 0x64, 0, 0, 0, 6, 0, 0, 0, 1, 0, 0x60],
      ...[0x4d, 0x54, 0x72, 0x6b, 0, 0, 0, event.length, ...event],
    ]);
    const read = readPart('x.mid', bytes);
    if (!read.ok) throw new Error(JSON.stringify(read.problems));
    expect(read.value.passage.tempo).toEqual([{ onset: 0, milliBpm: 100_000 }]);
    expect(read.value.passage.plucks.map((p) => [p.onset, p.duration, midiOf(p.pitch), p.hand])).toEqual([
      [0, 3360, 72, 'R'],
      [0, 3360, 76, 'R'],
      [3360, 3360, 48, 'L'],
    ]);
  });

  it('keeps changes of key', () => {
    const [planned] = fc.sample(
      plannedPassages.filter((p) => p.passage.bars.length > 1),
      { numRuns: 1, seed: 6 },
    );
    if (planned === undefined) throw new Error('no passage');
    const onset = planned.passage.bars[1]?.start ?? ticks(0);
    const keys = [{ onset, fifths: planned.passage.fifths > 0 ? -2 : 5 }];
    const read = readPart('x.mid', writeMidi({ ...planned, passage: { ...planned.passage, keys } }));
    expect(read.ok && read.value.passage.keys).toEqual(keys);
  });

  it('refuses cut and damaged files with one problem', () => {
    const [planned] = fc.sample(plannedPassages, { numRuns: 1, seed: 5 });
    const bytes = writeMidi(planned as NonNullable<typeof planned>);
    for (let cut = 0; cut < bytes.length; cut += 7) {
      const read = readPart('x.mid', bytes.slice(0, cut));
      expect(read.ok).toBe(false);
      if (!read.ok) expect(read.problems).toHaveLength(1);
    }
    let refused = 0;
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.nat(bytes.length - 1), fc.nat(255)), { minLength: 1, maxLength: 8 }),
        (changes) => {
          const copy = bytes.slice();
          for (const [at, to] of changes) copy[at] = to;
          const read = readPart('x.mid', copy);
          if (!read.ok) {
            refused++;
            expect(read.problems).toHaveLength(1);
          }
        },
      ),
      { numRuns: 300, seed: 6 },
    );
    expect(refused).toBeGreaterThan(5);
  });
});
