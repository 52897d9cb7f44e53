// MIDI that we write, read by a second library.
import fc from 'fast-check';
import MIDIFile from 'midifile';
import { describe, expect, it } from 'vitest';
import { perform } from '../../src/harp/performance';
import { writeMidi } from '../../src/interchange/midi-write';
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
