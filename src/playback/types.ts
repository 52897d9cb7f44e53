/** What a page needs of the player: load a passage's notes, play, stop, follow. */

import type { PlayedNote } from '../harp/performance';

export type PlayerState = 'stopped' | 'preparing' | 'playing';

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
  /** The passage has been played to its end (not: stopped). */
  end: undefined;
}

export interface Player {
  /** Takes a passage's notes (sorted by time or not) and begins to render their strings. Stops what plays. */
  load(notes: readonly PlayedNote[], durationSeconds: number): void;
  /** Fetches and opens the audio system without a sound, so that the first press is answered faster. Optional. */
  prepare(): void;
  /**
   * Plays from a place (seconds at rate 1). Call it inside the user's gesture: the audio context is started here.
   * Resolves once the first note is scheduled; rejects only where the machine has no audio at all.
   */
  play(fromSeconds?: number): Promise<void>;
  stop(): void;
  readonly state: PlayerState;
  /** Output level in decibels, −60 … 0; starts at −18. */
  setVolume(db: number): void;
  /** Scale of tempo, 0.25 … 4: 1 is as loaded, 2 twice as fast. May change while playing. */
  setRate(rate: number): void;
  /** Peak of the recent output, 0 … 1: for a meter, and to know that sound arrives. */
  level(): number;
  /** Notes started since `load`: for tests and meters. */
  readonly notesStarted: number;
  on<E extends keyof PlayerEvents>(event: E, fn: (value: PlayerEvents[E]) => void): () => void;
  dispose(): void;
}
