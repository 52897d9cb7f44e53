/** MIDI messages, and the choice of an instrument. */
import { describe, expect, it } from 'vitest';
import { type MidiAccess, createMidiOut, findMidiInstruments } from '../../src/playback/midi-out';
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
