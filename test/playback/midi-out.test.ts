/** MIDI messages, and the choice of an instrument. */
import { describe, expect, it } from 'vitest';
import type { PlayedNote } from '../../src/harp/performance';
import {
  type MidiAccess,
  type MidiOut,
  createMidiOut,
  findMidiInstruments,
  sendEvent,
} from '../../src/playback/midi-out';
import { eventsOf } from '../../src/playback/schedule';
import { note } from '../sound/sketch';
import { fakePort } from './fake-port';

describe('MIDI out', () => {
  it('ends a string’s old key when it is plucked again', () => {
    const port = fakePort();
    const out = createMidiOut(port, { now: () => 0, channel: 2 });
    out.pluck(21, 60, 75, 100);
    out.pluck(21, 61, 200, 200);
    expect(port.sent).toEqual([
      { data: [0xc2, 46], at: 0 },
      { data: [0x92, 60, 75], at: 100 },
      { data: [0x82, 60, 0], at: 200 },
      { data: [0x92, 61, 127], at: 200 },
    ]);
  });

  it('keeps a key that two strings share until the last of them is silent', () => {
    const port = fakePort();
    const out = createMidiOut(port, { now: () => 0 });
    out.pluck(20, 60, 80, 10);
    out.pluck(21, 60, 80, 20);
    out.damp(20, 30);
    expect(port.ringing()).toEqual(new Set([60]));
    out.damp(21, 40);
    out.damp(21, 50);
    expect(port.ringing().size).toBe(0);
    expect(port.sent.filter((m) => m.data[0] === 0x80).length).toBe(1);
  });

  it('turns all off now and after what is under way, and survives an unplugged port', () => {
    const port = fakePort();
    const out = createMidiOut(port, { now: () => 1000 });
    out.pluck(10, 50, 80, 900);
    out.pluck(11, 52, 80, 1300);
    out.allOff();
    expect(port.cleared).toBe(1);
    expect(port.ringing().size).toBe(0);
    expect(port.sent.filter((m) => m.data[0] === 0xb0 && m.data[1] === 123).map((m) => m.at)).toEqual([
      1000, 1301,
    ]);
    const gone = createMidiOut({
      ...fakePort(),
      send: () => {
        throw new Error('unplugged');
      },
    });
    expect(() => {
      gone.pluck(1, 40, 80, 0);
      gone.allOff();
    }).not.toThrow();
  });

  it('sends no key outside MIDI', () => {
    const port = fakePort();
    createMidiOut(port, { now: () => 0 }).pluck(46, 128, 80, 0);
    expect(port.sent.length).toBe(1);
  });
});

describe('bends', () => {
  const slide = { ...note({ string: 28, at: 0, bends: [[1, 1]] }), midi: 72 };
  const slid = { ...slide, bends: [{ ...slide.bends![0]!, slide: true as const }] };
  const send = (out: MidiOut, of: PlayedNote, rate = 1): void => {
    for (const event of eventsOf([of])) sendEvent(out, event, 100 + event.seconds * 1000, rate);
  };
  const wheels = (port: ReturnType<typeof fakePort>) =>
    port.sent
      .filter((m) => (m.data[0]! & 0xf0) === 0xe0)
      .map((m) => ({ at: m.at, channel: m.data[0]! & 15, value: m.data[1]! + 128 * m.data[2]! }));

  it('plays a slide on a channel of its own, within the range that it sets, from rest to a semitone', () => {
    const port = fakePort();
    send(createMidiOut(port, { now: () => 0 }), slid);
    const on = port.sent.filter((m) => (m.data[0]! & 0xf0) === 0x90);
    expect(on.map((m) => m.data)).toEqual([[0x91, 72, 75]]);
    // Registered parameter 0 is two semitones, so that a semitone is a quarter of the wheel (MIDI 1.0).
    const controls = port.sent.filter((m) => m.data[0] === 0xb1).map((m) => m.data.slice(1));
    expect(controls.slice(0, 3)).toEqual([
      [101, 0],
      [100, 0],
      [6, 2],
    ]);
    const path = wheels(port);
    expect(path.every((w) => w.channel === 1)).toBe(true);
    expect(path[0]?.value).toBe(8192);
    expect(path.at(-1)).toEqual({ at: 1100, channel: 1, value: 8192 + 4096 });
    const values = path.map((w) => w.value);
    expect(values).toEqual([...values].sort((a, b) => a - b));
    // A fifth of a second in steps of a hundredth, ending when the pedal stands.
    expect(path.length).toBe(21);
    expect(path[1]!.at).toBeCloseTo(910, 6);
  });

  it('takes half the time at twice the rate', () => {
    const port = fakePort();
    const out = createMidiOut(port, { now: () => 0 });
    for (const event of eventsOf([slid])) sendEvent(out, event, event.seconds * 500, 2);
    const path = wheels(port).slice(1);
    expect([path[0]!.at, path.at(-1)!.at].map(Math.round)).toEqual([410, 500]);
  });

  it('sends a pedal’s own bends only where all are asked for, and none where none', () => {
    for (const [bends, of, sent] of [
      ['slides', slide, false],
      ['all', slide, true],
      ['all', slid, true],
      ['none', slid, false],
    ] as const) {
      const port = fakePort();
      send(createMidiOut(port, { now: () => 0, bends }), of);
      expect([bends, wheels(port).length > 0]).toEqual([bends, sent]);
      expect(port.sent.some((m) => m.data[0] === (sent ? 0x91 : 0x90))).toBe(true);
    }
  });

  it('lends six channels in turn, never the drums, and brings every wheel to rest', () => {
    const port = fakePort();
    const out = createMidiOut(port, { now: () => 5000, channel: 6 });
    for (let i = 0; i < 8; i++) out.pluck(20 + i, 60 + i, 80, i * 10, true);
    const channels = port.sent.filter((m) => (m.data[0]! & 0xf0) === 0x90).map((m) => m.data[0]! & 15);
    expect(channels).toEqual([7, 8, 10, 11, 12, 13, 7, 8]);
    // The first note's key went off when its channel was lent again.
    expect(port.sent).toContainEqual({ data: [0x87, 60, 0], at: 60 });
    out.bend(27, 2, 100, 20);
    out.allOff();
    expect(
      wheels(port)
        .filter((w) => w.channel === 8)
        .at(-1)?.value,
    ).toBe(8192);
    expect(port.ringing().size).toBe(0);
  });
});

describe('the choice of an instrument', () => {
  const changes = new Set<() => void>();
  const access = (ports = [fakePort('Piano'), fakePort('Synth')]): MidiAccess => ({
    outputs: { values: () => ports, get: (id) => ports.find((p) => p.id === id) },
    addEventListener: (_, fn) => changes.add(fn),
    removeEventListener: (_, fn) => changes.delete(fn),
  });

  it('lists, opens and follows them', async () => {
    const found = await findMidiInstruments(() => Promise.resolve(access()));
    if (!found.ok) throw new Error('not found');
    expect(found.value.list()).toEqual([
      { id: 'piano', name: 'Piano' },
      { id: 'synth', name: 'Synth' },
    ]);
    expect(found.value.open('synth')).not.toBeNull();
    expect(found.value.open('gone')).toBeNull();
    let calls = 0;
    const end = found.value.onChange(() => calls++);
    for (const fn of changes) fn();
    end();
    for (const fn of changes) fn();
    expect(calls).toBe(1);
  });

  it('says when there is none, and when it is refused', async () => {
    expect(await findMidiInstruments(null)).toEqual({ ok: false, problems: ['absent'] });
    expect(await findMidiInstruments(() => Promise.reject(new Error('no')))).toEqual({
      ok: false,
      problems: ['refused'],
    });
  });
});
