// MIDI that we write, read by a second library.
import fc from 'fast-check';
import MIDIFile from 'midifile';
import { describe, expect, it } from 'vitest';
import { perform } from '../../src/harp/performance';
import { quantize } from '../../src/interchange/midi-read';
import { writeMidi } from '../../src/interchange/midi-write';
import { readPart } from '../../src/interchange/read-part';
import { midiOf } from '../../src/music/pitch';
import { plannedPassages } from './passages';

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
