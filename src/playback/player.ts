/** The player: renders what a passage needs, schedules its strings ahead of time, and tells the page what sounds. */

import type { PlayedNote } from '../harp/performance';
import { type VoiceId, noteGain, voiceOf, voicesNeeded } from '../sound/note';
import { DAMP_FADE, REPLUCK_FADE, panOf } from '../sound/stereo';
import type { Desk, Run, Voice } from './desk';
import { type StringRenderer, createWorkerRenderer } from './renderer';
import { type Clock, type PlayEvent, audioAt, eventsOf, firstEventFrom, placeAt, withRate } from './schedule';
import { type StringStore, createStringStore } from './string-store';
import { createToneDesk } from './tone-desk';
import type { Player, PlayerEvents, PlayerState } from './types';

export interface PlayerParts<B> {
  /** Opens the audio system; Tone's unless given. Called once, at the first `load` or `play`. */
  readonly desk: () => Promise<Desk<B>>;
  readonly renderer: () => StringRenderer;
}

/** Notes are handed to the audio system this long before they sound. */
const AHEAD = 0.35;
/** From the press to the first note, at least. */
const LEAD = 0.06;
/** These strings are waited for before the first note; the rest render while it plays. */
const FIRST_SECONDS = 1;
/** Strings needed within this time are asked for while playing. */
const PREFETCH_SECONDS = 5;
const QUIET_DB = -18;
/** Output seconds of a stop's fade. */
const STOP_FADE = 0.06;

/** A player on the machine's speakers, with strings rendered in a worker. */
export const createPlayer = (): Player =>
  createPlayerFrom({ desk: createToneDesk, renderer: createWorkerRenderer });

/** A player from given parts. */
export function createPlayerFrom<B>(parts: PlayerParts<B>): Player {
  const listeners: { [E in keyof PlayerEvents]: Set<(value: PlayerEvents[E]) => void> } = {
    state: new Set(),
    note: new Set(),
    progress: new Set(),
    end: new Set(),
  };
  const emit = <E extends keyof PlayerEvents>(event: E, value: PlayerEvents[E]): void => {
    for (const fn of [...listeners[event]]) fn(value);
  };

  let events: readonly PlayEvent[] = [];
  let needed: readonly VoiceId[] = [];
  let duration = 0;
  let state: PlayerState = 'stopped';
  let volumeDb = QUIET_DB;
  let rate = 1;
  let started = 0;
  let turn = 0;
  let disposed = false;

  let renderer: StringRenderer | null = null;
  let desk: Desk<B> | null = null;
  let store: StringStore<B> | null = null;
  let opening: Promise<{ desk: Desk<B>; store: StringStore<B> }> | null = null;

  let run: Run<B> | null = null;
  let endTicks: (() => void) | null = null;
  let clock: Clock = { audio: 0, place: 0, rate: 1 };
  let clockBefore: Clock = clock;
  let next = 0;
  let horizon = 0;
  let sounding = new Map<number, { readonly note: PlayedNote; readonly voice: Voice }>();
  let toShow: { readonly audio: number; readonly note: PlayedNote; readonly seconds: number }[] = [];

  const setState = (to: PlayerState): void => {
    if (state === to) return;
    state = to;
    emit('state', to);
  };
  const place = (audio: number): number => placeAt(audio < clock.audio ? clockBefore : clock, audio);
  const tellProgress = (seconds: number): void => {
    const ready = store === null ? 0 : needed.filter((v) => (store as StringStore<B>).has(v)).length;
    emit('progress', { seconds, duration, ready, needed: needed.length });
  };

  const open = (): Promise<{ desk: Desk<B>; store: StringStore<B> }> => {
    opening ??= parts
      .desk()
      .then((made) => {
        if (disposed) {
          made.dispose();
          throw new Error('the player has been disposed of');
        }
        renderer = parts.renderer();
        desk = made;
        made.setVolume(volumeDb);
        store = createStringStore(made.sampleRate, renderer, made.buffer, made.bytesOf, () => {
          if (state !== 'playing') tellProgress(0);
        });
        return { desk: made, store };
      })
      .catch((reason: unknown) => {
        opening = null;
        throw reason;
      });
    return opening;
  };

  /** Lets go of a run; what has been scheduled falls silent. */
  const halt = (): void => {
    turn++;
    endTicks?.();
    endTicks = null;
    run?.close(STOP_FADE);
    run = null;
    sounding = new Map();
    toShow = [];
  };

  const strike = (
    to: { desk: Desk<B>; store: StringStore<B>; run: Run<B> },
    event: PlayEvent,
    at: number,
  ): void => {
    const { note } = event;
    const before = sounding.get(note.string);
    if (event.kind === 'damp') {
      if (before?.note === note) before.voice.stop(at, DAMP_FADE);
      return;
    }
    before?.voice.stop(at, REPLUCK_FADE);
    const voice = to.run.start(
      to.store.now(voiceOf(note)),
      at,
      noteGain(note),
      panOf(note.string, note.hand),
    );
    sounding.set(note.string, { note, voice });
    started++;
    toShow.push({ audio: at, note, seconds: event.seconds });
  };

  const tick = (to: { desk: Desk<B>; store: StringStore<B>; run: Run<B> }): void => {
    const now = to.desk.time();
    const from = next;
    horizon = now + AHEAD;
    for (; next < events.length; next++) {
      const event = events[next] as PlayEvent;
      const at = audioAt(clock, event.seconds);
      if (at >= horizon) break;
      strike(to, event, at > now ? at : now + 0.002);
    }
    if (next > from) prefetch(to.store);
    let shown = 0;
    for (const item of toShow) {
      if (item.audio > now) break;
      shown++;
      emit('note', {
        id: item.note.id,
        from: item.note.from,
        string: item.note.string,
        seconds: item.seconds,
      });
    }
    toShow = toShow.slice(shown);
    // A listener may have stopped us.
    if (run !== to.run) return;
    const seconds = place(now);
    tellProgress(Math.min(Math.max(seconds, 0), duration));
    if (seconds >= duration && next >= events.length && toShow.length === 0) {
      endTicks?.();
      endTicks = null;
      setState('stopped');
      emit('end', undefined);
    }
  };

  const prefetch = (strings: StringStore<B>): void => {
    const soon: PlayedNote[] = [];
    const edge = ((events[next] as PlayEvent | undefined)?.seconds ?? 0) + PREFETCH_SECONDS * rate;
    for (let i = next; i < events.length && (events[i] as PlayEvent).seconds < edge; i++) {
      soon.push((events[i] as PlayEvent).note);
    }
    const missing = voicesNeeded(soon).filter((v) => !strings.has(v));
    if (missing.length > 0) strings.wantSoon(missing);
  };

  return {
    load: (notes, durationSeconds) => {
      halt();
      events = eventsOf(notes);
      needed = voicesNeeded(events.map((e) => e.note));
      duration = Math.max(durationSeconds, events.at(-1)?.seconds ?? 0);
      started = 0;
      setState('stopped');
      void open().then(
        (opened) => opened.store.wantIdly(needed),
        () => undefined,
      );
    },
    prepare: () => {
      void open().catch(() => undefined);
    },
    play: async (fromSeconds = 0) => {
      halt();
      const mine = turn;
      setState('preparing');
      try {
        // Where the desk is open already this asks for sound within the gesture itself.
        const running = desk?.resume();
        const { desk: to, store: strings } = await open();
        next = firstEventFrom(events, fromSeconds);
        const edge = fromSeconds + FIRST_SECONDS * rate;
        const first = events.slice(next, firstEventFrom(events, edge)).map((e) => e.note);
        strings.wantIdly(needed);
        await Promise.all([running ?? to.resume(), strings.ready(voicesNeeded(first))]);
        if (mine !== turn) return;
        clock = { audio: to.time() + LEAD, place: fromSeconds, rate };
        clockBefore = clock;
        const opened = to.open();
        run = opened;
        const all = { desk: to, store: strings, run: opened };
        endTicks = to.every(() => tick(all));
        setState('playing');
        tick(all);
      } catch (reason) {
        if (mine === turn) setState('stopped');
        throw reason;
      }
    },
    stop: () => {
      halt();
      setState('stopped');
    },
    get state() {
      return state;
    },
    setVolume: (db) => {
      volumeDb = Math.min(0, Math.max(-60, db));
      desk?.setVolume(volumeDb);
    },
    setRate: (to) => {
      rate = Math.min(4, Math.max(0.25, to));
      if (run === null) return;
      // What lies within the horizon is scheduled already: the new rate begins there.
      if (clock.audio !== horizon) {
        clockBefore = clock;
        clock = withRate(clock, horizon, rate);
      } else clock = { ...clock, rate };
    },
    level: () => desk?.level() ?? 0,
    get notesStarted() {
      return started;
    },
    on: (event, fn) => {
      listeners[event].add(fn);
      return () => {
        listeners[event].delete(fn);
      };
    },
    dispose: () => {
      halt();
      disposed = true;
      state = 'stopped';
      for (const set of Object.values(listeners)) set.clear();
      renderer?.dispose();
      desk?.dispose();
      desk = null;
    },
  };
}
