/** The mixing desk: everything the player asks of an audio system, so that the player itself can be tested without one. */

/** A sound that has been started. */
export interface Voice {
  /** Silences it from an audio time on, in `fade` seconds. Only the first call counts. */
  stop(at: number, fade: number): void;
  /**
   * From an audio time on, in so many seconds, glides to a playing speed (1 is as rendered) and a level against its
   * first one. Calls come in order of time.
   */
  bend?(at: number, seconds: number, speed: number, level: number): void;
}

/** The voices of one run of the player, silenced together. */
export interface Run<B> {
  /**
   * Starts a buffer at an audio time (not in the past), faded in from `offset` seconds on where that is given. Gain is
   * an amplitude ratio, pan −1 … 1.
   */
  start(buffer: B, at: number, gain: number, pan: number, offset?: number): Voice;
  /** Fades everything out and lets go of it. */
  close(fade: number): void;
}

export interface Desk<B> {
  readonly sampleRate: number;
  /** Audio time in seconds. It stands still while the system is suspended. */
  time(): number;
  /** Resolves when the audio runs; call it inside a user's gesture. */
  resume(): Promise<void>;
  buffer(samples: Float32Array): B;
  bytesOf(buffer: B): number;
  open(): Run<B>;
  /** Lets the room answer, or not. A desk without a room ignores it. */
  setRoom?(on: boolean): void;
  /** Decibels. */
  setVolume(db: number): void;
  /** Peak of the recent output, 0 … 1. */
  level(): number;
  /** Calls back about twenty times a second, in background tabs too. Returns how to end it. */
  every(fn: () => void): () => void;
  dispose(): void;
}
