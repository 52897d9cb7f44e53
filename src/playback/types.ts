/** What a page needs of the player: load a passage's notes, play, stop, follow. */

import type { PlayedNote } from '../harp/performance';
import type { MidiOut } from './midi-out';

export type PlayerState = 'stopped' | 'preparing' | 'playing' | 'paused';

export interface PlayerEvents {
  /** The state has changed. */
  state: PlayerState;
  /** A note is heard now: its own id, the id of the pluck, sweep or tremble note it belongs to (for lighting), its string. */
  note: { readonly id: string; readonly from: string; readonly string: number; readonly seconds: number };
  /** While playing: seconds into the passage at its own tempo. While preparing: strings rendered of those needed. */
  progress: {
    readonly seconds: number;
    readonly duration: number;
    readonly ready: number;
    readonly needed: number;
  };
  /** A beat of the count-in is heard now, counted from 1. */
  count: { readonly beat: number; readonly of: number };
  /** The passage has been played to its end (not: stopped). */
  end: undefined;
}

/** A stretch of the passage in seconds at its own tempo. */
export interface Loop {
  readonly from: number;
  readonly to: number;
}

/** Beats clicked before the first note. */
export interface CountIn {
  /** 1 … 16. */
  readonly beats: number;
  /** One beat in seconds at rate 1. */
  readonly seconds: number;
}

export interface Player {
  /** Takes a passage's notes (sorted by time or not) and begins to render their strings. Stops what plays, ends a loop. */
  load(notes: readonly PlayedNote[], durationSeconds: number): void;
  /** Fetches and opens the audio system without a sound, so that the first press is answered faster. Optional. */
  prepare(): void;
  /**
   * Plays from a place (seconds at rate 1); without one, from where it was paused or sent by `seek`, else the start.
   * Call it inside the user's gesture: the audio context is started here.
   * Resolves once the first note is scheduled; rejects only where the machine has no audio at all.
   */
  play(fromSeconds?: number): Promise<void>;
  /** Silences, and keeps the place for `play()`. Nothing happens unless it plays or prepares to. */
  pause(): void;
  /** Silences, and goes back to the start. */
  stop(): void;
  /** Goes to a place (kept within the passage): on playing from there where it plays, else for the next `play()`. */
  seek(seconds: number): void;
  /** Plays a stretch again and again; null plays on. Stretches under a tenth of a second are not taken. */
  setLoop(loop: Loop | null): void;
  /** Clicks beats before the first note of every `play`; null (as at first) does not. */
  setCountIn(count: CountIn | null): void;
  /** The room around the harp; on at first. */
  setRoom(on: boolean): void;
  /** A player's unevenness of time and touch; on at first where the player was made with it. From the next `play` on. */
  setUneven(on: boolean): void;
  /** Sends every note to a MIDI instrument too, or (`alone`) in place of the strings here; null ends it. */
  setMidi(out: MidiOut | null, alone?: boolean): void;
  /**
   * Sounds one note at once, beside whatever plays: a string under the user's hand. Call it inside the gesture; its
   * onset does not matter. Rejects only where the machine has no audio at all.
   */
  pluck(note: PlayedNote): Promise<void>;
  readonly state: PlayerState;
  /** Where it stands, in seconds into the passage at its own tempo. */
  readonly seconds: number;
  /** Output level in decibels, −60 … 0; starts at −18. */
  setVolume(db: number): void;
  /** Scale of tempo, 0.125 … 8: 1 is as loaded, 2 twice as fast. May change while playing. See `rateForTempo`. */
  setRate(rate: number): void;
  /** Peak of the recent output, 0 … 1: for a meter, and to know that sound arrives. */
  level(): number;
  /** Notes started since `load`: for tests and meters. */
  readonly notesStarted: number;
  on<E extends keyof PlayerEvents>(event: E, fn: (value: PlayerEvents[E]) => void): () => void;
  dispose(): void;
}
