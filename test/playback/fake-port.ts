/** A MIDI port that writes down what it is sent. */
import type { MidiPort } from '../../src/playback/midi-out';

export interface FakePort extends MidiPort {
  readonly sent: { data: number[]; at: number }[];
  cleared: number;
  /** Keys on once everything sent has arrived, in order of time. */
  ringing(): Set<number>;
}

export function fakePort(name = 'Piano'): FakePort {
  const port: FakePort = {
    id: name.toLowerCase(),
    name,
    sent: [],
    cleared: 0,
    send: (data, at = 0) => {
      port.sent.push({ data, at });
    },
    clear: () => {
      // Not every browser can: what is under way arrives all the same.
      port.cleared++;
    },
    ringing: () => {
      const on = new Set<number>();
      for (const { data } of [...port.sent].sort((a, b) => a.at - b.at)) {
        const [status = 0, key = 0] = data;
        if ((status & 0xf0) === 0x90) on.add(key);
        else if ((status & 0xf0) === 0x80) on.delete(key);
      }
      return on;
    },
  };
  return port;
}
