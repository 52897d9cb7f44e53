// The sustaining pedal of a MIDI file, as another library writes it: spans on the notes' grid.
import { writeMidi as midiFile } from 'midi-file';
import { describe, expect, it } from 'vitest';
import { readMidi } from '../../src/interchange/midi-read';
import { reduce } from '../../src/proposals/reduce';

const note = (deltaTime: number, type: 'noteOn' | 'noteOff', noteNumber: number) => ({
  ...{ deltaTime, type, channel: 0, noteNumber, velocity: type === 'noteOn' ? 80 : 0 },
});
const pedal = (deltaTime: number, value: number) => ({
  ...{ deltaTime, type: 'controller', channel: 0, controllerType: 64, value },
});

/** Two bars: a bass and a chord under one pedal each, the second pedal trodden a little late. */
const bytes = Uint8Array.from(
  midiFile({
    header: { format: 0, numTracks: 1, ticksPerBeat: 480 },
    tracks: [
      [
        pedal(0, 127),
        note(0, 'noteOn', 36),
        note(480, 'noteOff', 36),
        note(0, 'noteOn', 64),
        note(480, 'noteOff', 64),
        pedal(955, 0),
        note(5, 'noteOn', 41),
        pedal(6, 90),
        note(474, 'noteOff', 41),
        note(0, 'noteOn', 65),
        note(480, 'noteOff', 65),
        pedal(960, 20),
        pedal(0, 100),
        { deltaTime: 0, type: 'endOfTrack', meta: true },
      ],
    ],
  } as Parameters<typeof midiFile>[0]),
);

describe('the sustaining pedal of a MIDI file', () => {
  const read = readMidi(bytes);
  if (!read.ok) throw new Error('the file cannot be read');
  const { passage } = read.value;

  it('is read as spans, and one that is never lifted is left out', () => {
    expect(passage.sustain).toEqual([
      { from: 0, to: 13440 },
      { from: 13440, to: 26880 },
    ]);
  });

  it('lets a bass ring and has it damped at the change (Rimsky-Korsakov; Einarsdóttir)', () => {
    const codes = reduce({ passage })?.changes.map((c) => c.code);
    expect(codes).toContain('pedal-ring');
    expect(codes).toContain('pedal-damps');
  });
});
