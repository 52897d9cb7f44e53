/** Notes to a MIDI instrument that the user chooses, through Web MIDI. */

import { type Result, fail, ok } from '../base/result';
import type { Bend } from '../harp/performance';
import { glidesOf } from '../sound/bend';
import type { PlayEvent } from './schedule';

/** What we need of a Web MIDI output. Times in milliseconds of `performance.now()`. */
export interface MidiPort {
  readonly id: string;
  readonly name: string | null;
  send(data: number[], timestamp?: number): void;
  /** Drops what has been sent but is not yet due; not every browser has it. */
  clear?(): void;
}

/** Bends that are sent: none, the slides that are written, or every pedal moved under a ringing string. */
export type MidiBends = 'none' | 'slides' | 'all';

export interface MidiOut {
  /**
   * Plucks a string: its old key goes off, the new one on. Velocity 1 … 127, `at` in milliseconds. A note that will
   * bend is played on a channel of its own.
   */
  pluck(string: number, key: number, velocity: number, at: number, bends?: boolean): void;
  /** Glides what rings on a string to so many semitones (−2 … 2) from its key, in so many milliseconds. */
  bend(string: number, semitones: number, at: number, milliseconds: number): void;
  /** Which bends of a note are to be played. */
  readonly bends: MidiBends;
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
const PITCH_BEND = 0xe0;
/** Pitch bend at rest, and for a semitone where the range is two (General MIDI). */
const CENTRE = 8192;
const SEMITONE = 4096;
/** Milliseconds between the steps of a glide. */
const STEP = 10;
/** Counted from zero: General MIDI's drums. */
const DRUMS = 9;
/** Channels lent to notes that bend, in turn. */
const LENT = 6;
const PROGRAM = 0xc0;
const SUSTAIN = 64;
const ALL_NOTES_OFF = 123;
/** Registered parameter 0, the range of the pitch bend: two semitones, no cents; then no parameter (MIDI 1.0). */
const BEND_RANGE = [
  [101, 0],
  [100, 0],
  [6, 2],
  [38, 0],
  [101, 127],
  [100, 127],
] as const;
/** General MIDI: orchestral harp, program 47 counted from one. */
const HARP = 46;

export interface MidiOutOptions {
  /** 0 … 15; 0 unless given. */
  readonly channel?: number;
  /** The clock of the timestamps. */
  readonly now?: () => number;
  /** 'slides' unless given. Each note that bends is lent one of six channels after the main one. */
  readonly bends?: MidiBends;
}

/**
 * One channel of a port. A key rings until its string is plucked again or damped, or all goes off; a key that two
 * strings share goes off with the last of them. A port that has gone away is silent.
 */
export function createMidiOut(port: MidiPort, options: MidiOutOptions = {}): MidiOut {
  const main = options.channel ?? 0;
  const now = options.now ?? (() => performance.now());
  const held = new Map<number, { readonly key: number; readonly channel: number }>();
  const used = new Map<number, Set<number>>();
  const bent = new Map<number, number>();
  const lent = Array.from({ length: 15 }, (_, i) => (main + 1 + i) % 16)
    .filter((c) => c !== DRUMS)
    .slice(0, LENT);
  let next = 0;
  let latest = 0;
  const send = (data: number[], at: number): void => {
    latest = Math.max(latest, at);
    try {
      port.send(data, at);
    } catch {
      // Unplugged: nothing is left to tell it.
    }
  };
  const wheel = (channel: number, semitones: number, at: number): void => {
    const value = Math.min(16383, Math.max(0, CENTRE + Math.round(semitones * SEMITONE)));
    bent.set(channel, semitones);
    send([PITCH_BEND + channel, value & 127, value >> 7], at);
  };
  const release = (string: number, at: number): void => {
    const on = held.get(string);
    if (on === undefined) return;
    held.delete(string);
    const shared = [...held.values()].some((h) => h.key === on.key && h.channel === on.channel);
    if (!shared) send([NOTE_OFF + on.channel, on.key, 0], at);
  };
  /** A channel for a note that bends: set to the harp and to two semitones when it is first lent. */
  const lend = (at: number): number => {
    const channel = lent[next++ % lent.length] as number;
    for (const [string, on] of [...held]) if (on.channel === channel) release(string, at);
    if (!used.has(channel)) {
      send([PROGRAM + channel, HARP], at);
      for (const [control, value] of BEND_RANGE) send([CONTROL + channel, control, value], at);
    }
    wheel(channel, 0, at);
    return channel;
  };
  send([PROGRAM + main, HARP], now());
  return {
    bends: options.bends ?? 'slides',
    pluck: (string, key, velocity, at, bends = false) => {
      release(string, at);
      if (key < 0 || key > 127) return;
      const channel = bends ? lend(at) : main;
      held.set(string, { key, channel });
      used.set(channel, (used.get(channel) ?? new Set()).add(key));
      send([NOTE_ON + channel, key, Math.min(127, Math.max(1, Math.round(velocity)))], at);
    },
    bend: (string, semitones, at, milliseconds) => {
      const on = held.get(string);
      // The main channel would bend every string.
      if (on === undefined || on.channel === main) return;
      const from = bent.get(on.channel) ?? 0;
      const steps = Math.max(1, Math.ceil(milliseconds / STEP));
      for (let i = 1; i <= steps; i++)
        wheel(on.channel, from + ((semitones - from) * i) / steps, at + (milliseconds * i) / steps);
    },
    damp: release,
    rest: (at) => {
      for (const string of [...held.keys()]) release(string, at);
    },
    allOff: () => {
      port.clear?.();
      const time = now();
      for (const at of latest > time ? [time, latest + 1] : [time]) {
        for (const [channel, keys] of used.size === 0 ? [[main, new Set<number>()] as const] : used) {
          for (const key of keys) send([NOTE_OFF + channel, key, 0], at);
          send([CONTROL + channel, SUSTAIN, 0], at);
          send([CONTROL + channel, ALL_NOTES_OFF, 0], at);
          if (channel !== main) wheel(channel, 0, at);
        }
      }
      held.clear();
      used.clear();
      bent.clear();
      latest = 0;
    },
  };
}

/** Whether a note's bend is one of those that are sent. */
const isSent = (bends: MidiBends, bend: Bend | undefined): boolean =>
  bend !== undefined && (bends === 'all' || (bends === 'slides' && bend.slide === true));

/**
 * An event of a passage as MIDI, at a time in milliseconds; `rate` is the passage's seconds a second. Of the bends
 * those are sent that the instrument was opened for.
 */
export function sendEvent(out: MidiOut, event: PlayEvent, at: number, rate = 1): void {
  const { note } = event;
  const bends = note.bends ?? [];
  if (event.kind === 'damp') out.damp(note.string, at);
  else if (event.kind === 'pluck') {
    const bent = bends.some((b) => isSent(out.bends, b));
    out.pluck(note.string, note.midi, note.velocity * (note.touch ?? 1), at, bent);
  } else {
    const [bend, glide] = [bends[event.bend], glidesOf(note)[event.bend]];
    if (bend === undefined || glide === undefined || !isSent(out.bends, bend)) return;
    out.bend(note.string, bend.semitones, at, ((glide.to - glide.from) * 1000) / rate);
  }
}

/** The machine's MIDI instruments. */
export interface MidiInstruments {
  list(): readonly { readonly id: string; readonly name: string }[];
  /** Null where it is not (any longer) there. */
  open(id: string, bends?: MidiBends): MidiOut | null;
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
    open: (id, bends = 'slides') => {
      const port = access.outputs.get(id);
      return port === undefined ? null : createMidiOut(port, { bends });
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
