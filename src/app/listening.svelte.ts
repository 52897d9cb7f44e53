/** The player as the page sees it: one passage loaded, its state readable, its notes told to whoever draws them. */

import { type PlayedNote, perform } from '../harp/performance';
import { barTicks, beatTicks, beatsInBar } from '../music/metre';
import { passageEnd } from '../music/passage';
import { tempoMap } from '../music/tempo';
import type { MidiOut } from '../playback/midi-out';
import type { CountIn, Loop, Player, PlayerEvents, PlayerState } from '../playback/types';
import type { Sheet } from './sheet';
import type { SoundSwitches } from './work';

export type HeardNote = PlayerEvents['note'];

export interface Listening {
  readonly state: PlayerState;
  /** Seconds into the passage at its own tempo. */
  readonly seconds: number;
  readonly duration: number;
  /** 0 … 1, of the recent output. */
  readonly level: number;
  readonly notesStarted: number;
  /** Strings rendered of those that the passage needs; both 0 before anything is known. */
  readonly rendered: { readonly ready: number; readonly needed: number };
  /** The beat of the count-in that is heard, from 1, or null. */
  readonly counting: number | null;
  /** What is loaded, and its notes as they are played. */
  readonly loaded: Sheet | null;
  readonly notes: readonly PlayedNote[];
  /** Whether this sheet is the one that plays, or is about to. */
  sounds(sheet: Sheet): boolean;
  /** A sentence where the machine has no sound. */
  readonly fault: string | null;
  load(sheet: Sheet): void;
  /** Plays on from where it was paused or sent, or from a place. Call it inside the gesture. */
  play(fromSeconds?: number): void;
  pause(): void;
  stop(): void;
  seek(seconds: number): void;
  /** One string at once, where nothing plays. Call it inside the gesture. */
  pluck(note: PlayedNote): void;
  /** The stretch that is played again and again; ended by the next passage. */
  readonly loop: Loop | null;
  setLoop(loop: Loop | null): void;
  setVolume(db: number): void;
  setRate(rate: number): void;
  setSwitches(switches: SoundSwitches): void;
  setMidi(out: MidiOut | null, alone: boolean): void;
  onNote(fn: (note: HeardNote) => void): () => void;
  /** Calls back when everything falls silent at once: on pause, stop, a jump or another passage. */
  onSilence(fn: () => void): () => void;
}

/** One bar of clicks in the metre and tempo of the first bar. */
export function countInOf(sheet: Pick<Sheet, 'planned'>): CountIn | null {
  const { bars, tempo } = sheet.planned.passage;
  const metre = bars[0]?.metre;
  if (metre === undefined) return null;
  const beats = Math.max(1, Math.round(beatsInBar(metre)));
  return {
    beats,
    seconds: (tempoMap(tempo).secondsAt(barTicks(metre)) * beatTicks(metre)) / barTicks(metre),
  };
}

function listeners<T>(): { add: (fn: (value: T) => void) => () => void; tell: (value: T) => void } {
  let all: readonly ((value: T) => void)[] = [];
  return {
    add: (fn) => {
      all = [...all, fn];
      return () => {
        all = all.filter((other) => other !== fn);
      };
    },
    tell: (value) => {
      for (const fn of all) fn(value);
    },
  };
}

/** `player` is made at the first load, so that a page that is only read never opens an audio system. */
export function createListening(player: () => Player): Listening {
  let made: Player | null = null;
  let state = $state<PlayerState>('stopped');
  let seconds = $state(0);
  let duration = $state(0);
  let level = $state(0);
  let notesStarted = $state(0);
  let rendered = $state.raw({ ready: 0, needed: 0 });
  let counting = $state<number | null>(null);
  let loaded = $state.raw<Sheet | null>(null);
  let notes = $state.raw<readonly PlayedNote[]>([]);
  let loop = $state.raw<Loop | null>(null);
  let fault = $state<string | null>(null);
  /** What the player is told as soon as there is one. */
  let settings: readonly ((p: Player) => void)[] = [];
  let countsIn = false;
  const heard = listeners<HeardNote>();
  const silences = listeners<undefined>();

  const get = (): Player => {
    if (made !== null) return made;
    const p = player();
    made = p;
    for (const tell of settings) tell(p);
    p.on('state', (now) => {
      state = now;
      if (now === 'playing') return;
      counting = null;
      if (now === 'stopped') level = 0;
    });
    p.on('note', (note) => {
      counting = null;
      heard.tell(note);
    });
    p.on('count', ({ beat }) => {
      counting = beat;
    });
    p.on('progress', (at) => {
      if (at.ready !== rendered.ready || at.needed !== rendered.needed) {
        rendered = { ready: at.ready, needed: at.needed };
      }
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
  /** Tells the player now, or the one that will be made. */
  const set = (tell: (p: Player) => void): void => {
    if (made === null) settings = [...settings, tell];
    else tell(made);
  };
  const failed = (reason: unknown): void => {
    fault = reason instanceof Error ? reason.message : String(reason);
  };
  const setCountIn = (): void => {
    made?.setCountIn(countsIn && loaded !== null ? countInOf(loaded) : null);
  };

  const busy = (): boolean => state === 'playing' || state === 'preparing';

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
    get rendered() {
      return rendered;
    },
    get counting() {
      return counting;
    },
    get loaded() {
      return loaded;
    },
    get notes() {
      return notes;
    },
    get loop() {
      return loop;
    },
    get fault() {
      return fault;
    },
    load: (sheet) => {
      if (sheet === loaded) return;
      const { planned } = sheet;
      duration = tempoMap(planned.passage.tempo).secondsAt(passageEnd(planned.passage));
      notes = perform(planned);
      rendered = { ready: 0, needed: 0 };
      get().load(notes, duration);
      loaded = sheet;
      setCountIn();
      loop = null;
      seconds = 0;
      notesStarted = 0;
      silences.tell(undefined);
    },
    play: (from) => {
      fault = null;
      if (state === 'playing') silences.tell(undefined);
      get().play(from).catch(failed);
    },
    stop: () => {
      made?.stop();
      seconds = 0;
      silences.tell(undefined);
    },
    pause: () => {
      made?.pause();
      silences.tell(undefined);
    },
    sounds: (sheet) => loaded === sheet && busy(),
    seek: (to) => {
      made?.seek(to);
      seconds = to;
      silences.tell(undefined);
    },
    pluck: (note) => {
      if (busy()) return;
      fault = null;
      const { id, from, string } = note;
      get()
        .pluck(note)
        .then(() => heard.tell({ id, from, string, seconds: note.onset / 1_000_000 }), failed);
    },
    setLoop: (to) => {
      loop = to;
      made?.setLoop(to);
    },
    setVolume: (db) => set((p) => p.setVolume(db)),
    setRate: (rate) => set((p) => p.setRate(rate)),
    setSwitches: ({ countIn, room, uneven }) => {
      countsIn = countIn;
      setCountIn();
      set((p) => {
        p.setRoom(room);
        p.setUneven(uneven);
      });
    },
    setMidi: (out, alone) => set((p) => p.setMidi(out, alone)),
    onNote: heard.add,
    onSilence: silences.add,
  };
}
