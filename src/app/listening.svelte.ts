/** The player as the page sees it: one passage loaded, its state readable, its notes told to whoever draws them. */

import { perform } from '../harp/performance';
import { passageEnd } from '../music/passage';
import { tempoMap } from '../music/tempo';
import type { Player, PlayerEvents, PlayerState } from '../playback/types';
import type { Proposal } from '../proposals/types';

export type HeardNote = PlayerEvents['note'];

export interface Listening {
  readonly state: PlayerState;
  /** Seconds into the passage at its own tempo. */
  readonly seconds: number;
  readonly duration: number;
  /** 0 … 1, of the recent output. */
  readonly level: number;
  readonly notesStarted: number;
  /** The proposal that is loaded. */
  readonly loaded: Proposal | null;
  /** A sentence where the machine has no sound. */
  readonly fault: string | null;
  load(proposal: Proposal): void;
  /** Plays on from where it was paused or sent, or from a place. Call it inside the gesture. */
  play(fromSeconds?: number): void;
  pause(): void;
  stop(): void;
  seek(seconds: number): void;
  /** Whether the passage is played again and again; for this passage. */
  readonly looping: boolean;
  setLooping(on: boolean): void;
  setVolume(db: number): void;
  setRate(rate: number): void;
  onNote(fn: (note: HeardNote) => void): () => void;
}

/** `player` is made at the first load, so that a page that is only read never opens an audio system. */
export function createListening(player: () => Player): Listening {
  let made: Player | null = null;
  let state = $state<PlayerState>('stopped');
  let seconds = $state(0);
  let duration = $state(0);
  let level = $state(0);
  let notesStarted = $state(0);
  let loaded = $state.raw<Proposal | null>(null);
  let looping = $state(false);
  let fault = $state<string | null>(null);
  let volume: number | null = null;
  let rate = 1;
  let listeners: readonly ((note: HeardNote) => void)[] = [];

  const get = (): Player => {
    if (made !== null) return made;
    const p = player();
    made = p;
    if (volume !== null) p.setVolume(volume);
    p.setRate(rate);
    p.on('state', (now) => {
      state = now;
      if (now === 'stopped') level = 0;
    });
    p.on('note', (note) => {
      for (const fn of listeners) fn(note);
    });
    p.on('progress', (at) => {
      if (p.state !== 'playing') return;
      seconds = at.seconds;
      level = p.level();
      notesStarted = p.notesStarted;
    });
    p.on('end', () => {
      seconds = 0;
    });
    return p;
  };

  return {
    get state() {
      return state;
    },
    get seconds() {
      return seconds;
    },
    get duration() {
      return duration;
    },
    get level() {
      return level;
    },
    get notesStarted() {
      return notesStarted;
    },
    get loaded() {
      return loaded;
    },
    get looping() {
      return looping;
    },
    get fault() {
      return fault;
    },
    load: (proposal) => {
      if (proposal === loaded) return;
      const { planned } = proposal;
      duration = tempoMap(planned.passage.tempo).secondsAt(passageEnd(planned.passage));
      get().load(perform(planned), duration);
      loaded = proposal;
      if (looping) get().setLoop({ from: 0, to: duration });
      seconds = 0;
      notesStarted = 0;
    },
    play: (from) => {
      fault = null;
      get()
        .play(from)
        .catch((reason: unknown) => {
          fault = reason instanceof Error ? reason.message : String(reason);
        });
    },
    stop: () => {
      made?.stop();
      seconds = 0;
    },
    pause: () => made?.pause(),
    seek: (to) => {
      made?.seek(to);
      seconds = to;
    },
    setLooping: (on) => {
      looping = on;
      made?.setLoop(on ? { from: 0, to: duration } : null);
    },
    setVolume: (db) => {
      volume = db;
      made?.setVolume(db);
    },
    setRate: (to) => {
      rate = to;
      made?.setRate(to);
    },
    onNote: (fn) => {
      listeners = [...listeners, fn];
      return () => {
        listeners = listeners.filter((other) => other !== fn);
      };
    },
  };
}
