/** Notes to a MIDI instrument that the user chooses, through Web MIDI. */

import { type Result, fail, ok } from '../base/result';
import type { PlayEvent } from './schedule';

/** What we need of a Web MIDI output. Times in milliseconds of `performance.now()`. */
export interface MidiPort {
  readonly id: string;
  readonly name: string | null;
  send(data: number[], timestamp?: number): void;
  /** Drops what has been sent but is not yet due; not every browser has it. */
  clear?(): void;
}

export interface MidiOut {
  /** Plucks a string: its old key goes off, the new one on. Velocity 1 … 127, `at` in milliseconds. */
  pluck(string: number, key: number, velocity: number, at: number): void;
  /** Damps a string. */
  damp(string: number, at: number): void;
  /** Lets every ringing string go at a time to come, as when a passage has been played to its end. */
  rest(at: number): void;
  /** Everything off, now and once what is under way has arrived. */
  allOff(): void;
}

const NOTE_OFF = 0x80;
const NOTE_ON = 0x90;
const CONTROL = 0xb0;
const PROGRAM = 0xc0;
const SUSTAIN = 64;
const ALL_NOTES_OFF = 123;
/** General MIDI: orchestral harp, program 47 counted from one. */
const HARP = 46;

export interface MidiOutOptions {
  /** 0 … 15; 0 unless given. */
  readonly channel?: number;
  /** The clock of the timestamps. */
  readonly now?: () => number;
}

/**
 * One channel of a port. A key rings until its string is plucked again or damped, or all goes off; a key that two
 * strings share goes off with the last of them. A port that has gone away is silent.
 */
export function createMidiOut(port: MidiPort, options: MidiOutOptions = {}): MidiOut {
  const channel = options.channel ?? 0;
  const now = options.now ?? (() => performance.now());
  const held = new Map<number, number>();
  const used = new Set<number>();
  let latest = 0;
  const send = (data: number[], at: number): void => {
    latest = Math.max(latest, at);
    try {
      port.send(data, at);
    } catch {
      // Unplugged: nothing is left to tell it.
    }
  };
  const release = (string: number, at: number): void => {
    const key = held.get(string);
    if (key === undefined) return;
    held.delete(string);
    if (![...held.values()].includes(key)) send([NOTE_OFF + channel, key, 0], at);
  };
  send([PROGRAM + channel, HARP], now());
  return {
    pluck: (string, key, velocity, at) => {
      release(string, at);
      if (key < 0 || key > 127) return;
      held.set(string, key);
      used.add(key);
      send([NOTE_ON + channel, key, Math.min(127, Math.max(1, Math.round(velocity)))], at);
    },
    damp: release,
    rest: (at) => {
      for (const string of [...held.keys()]) release(string, at);
    },
    allOff: () => {
      port.clear?.();
      const time = now();
      for (const at of latest > time ? [time, latest + 1] : [time]) {
        for (const key of used) send([NOTE_OFF + channel, key, 0], at);
        send([CONTROL + channel, SUSTAIN, 0], at);
        send([CONTROL + channel, ALL_NOTES_OFF, 0], at);
      }
      held.clear();
      used.clear();
      latest = 0;
    },
  };
}

/** An event of a passage as MIDI, at a time in milliseconds. A bend would move the whole channel: it is left out. */
export function sendEvent(out: MidiOut, event: PlayEvent, at: number): void {
  const { note } = event;
  if (event.kind === 'damp') out.damp(note.string, at);
  else if (event.kind === 'pluck') out.pluck(note.string, note.midi, note.velocity * (note.touch ?? 1), at);
}

/** The machine's MIDI instruments. */
export interface MidiInstruments {
  list(): readonly { readonly id: string; readonly name: string }[];
  /** Null where it is not (any longer) there. */
  open(id: string): MidiOut | null;
  /** Calls back when an instrument comes or goes. Returns how to end it. */
  onChange(fn: () => void): () => void;
}

/** 'absent': this browser has no MIDI. 'refused': the user or a policy did not allow it. */
export type MidiRefusal = 'absent' | 'refused';

/** What we need of a browser's MIDI access. */
export interface MidiAccess {
  readonly outputs: { values(): Iterable<MidiPort>; get(id: string): MidiPort | undefined };
  addEventListener(type: 'statechange', fn: () => void): void;
  removeEventListener(type: 'statechange', fn: () => void): void;
}
export type RequestMidi = () => Promise<MidiAccess>;

/** Asks for the MIDI instruments; the browser may ask the user. Call it when the user wants one, not before. */
export async function findMidiInstruments(
  request: RequestMidi | null = browserMidi(),
): Promise<Result<MidiInstruments, MidiRefusal>> {
  if (request === null) return fail('absent');
  let access: MidiAccess;
  try {
    access = await request();
  } catch {
    return fail('refused');
  }
  return ok({
    list: () => [...access.outputs.values()].map((port) => ({ id: port.id, name: port.name ?? port.id })),
    open: (id) => {
      const port = access.outputs.get(id);
      return port === undefined ? null : createMidiOut(port);
    },
    onChange: (fn) => {
      access.addEventListener('statechange', fn);
      return () => {
        access.removeEventListener('statechange', fn);
      };
    },
  });
}

function browserMidi(): RequestMidi | null {
  if (typeof navigator === 'undefined' || typeof navigator.requestMIDIAccess !== 'function') return null;
  return () => navigator.requestMIDIAccess() as Promise<unknown> as Promise<MidiAccess>;
}
