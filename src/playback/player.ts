/** The player: renders what a passage needs, schedules its strings ahead of time, and tells the page what sounds. */

import { type Random, seededRandom } from '../base/random';
import type { PlayedNote } from '../harp/performance';
import { type VoiceId, voiceOf, voicesNeeded } from '../sound/note';
import { uneven } from '../sound/uneven';
import type { Desk, Run } from './desk';
import { countInBeats, countInWithin, loopWithin } from './bounds';
import { createListeners } from './listeners';
import { type MidiOut, sendEvent } from './midi-out';
import { type StringRenderer, createWorkerRenderer } from './renderer';
import { type Opened, createOpening } from './opening';
import { type PlayEvent, RATE_RANGE, createTimeline, eventsOf, firstEventFrom } from './schedule';
import { type Strikes, alongWith, countInClick, createStrikes, ringingAt } from './strikes';
import { createCachedRenderer, createStringCache } from './string-cache';
import { IDLE_BYTES, type StringStore } from './string-store';
import { createToneDesk } from './tone-desk';
import type { CountIn, Loop, Player, PlayerState } from './types';

export interface PlayerParts<B> {
  /** Opens the audio system; Tone's unless given. Called once, at the first `load` or `play`. */
  readonly desk: () => Promise<Desk<B>>;
  readonly renderer: () => StringRenderer;
  /** Where a player's unevenness comes from; without it every note is exact. */
  readonly uneven?: Random;
  /** The clock of MIDI messages in milliseconds; `performance.now` unless given. */
  readonly clock?: () => number;
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
/** A MIDI instrument's strings are let go so long after the end, in milliseconds. */
const MIDI_RING = 3000;

/** A player on the machine's speakers, with strings rendered in a worker and kept between visits. */
export const createPlayer = (): Player =>
  createPlayerFrom({
    desk: createToneDesk,
    renderer: () => createCachedRenderer(createWorkerRenderer(), createStringCache()),
    uneven: seededRandom('hands'),
  });

interface Playing<B> extends Opened<B> {
  readonly run: Run<B>;
  readonly strikes: Strikes;
}

/** A player from given parts. */
export function createPlayerFrom<B>(parts: PlayerParts<B>): Player {
  const listeners = createListeners();
  const { emit } = listeners;
  const clock = parts.clock ?? (() => performance.now());

  let notes: readonly PlayedNote[] = [];
  let events: readonly PlayEvent[] = [];
  let needed: readonly VoiceId[] = [];
  let duration = 0;
  let state: PlayerState = 'stopped';
  let volumeDb = QUIET_DB;
  let rate = 1;
  let room = true;
  let unevenly = true;
  let loop: Loop | null = null;
  let countIn: CountIn | null = null;
  let midi: { readonly out: MidiOut; readonly alone: boolean } | null = null;
  /** Where `play()` begins. */
  let resting = 0;
  let started = 0;
  let turn = 0;

  let playing: Playing<B> | null = null;
  /** Strings that the user plucks. */
  let hand: Strikes | null = null;
  let endTicks: (() => void) | null = null;
  const timeline = createTimeline();
  let next = 0;
  let horizon = 0;
  let toTell: { readonly audio: number; readonly tell: () => void }[] = [];

  const setState = (to: PlayerState): void => {
    if (state === to) return;
    state = to;
    emit('state', to);
  };
  const within = (seconds: number): number => Math.min(Math.max(seconds, 0), duration);
  const place = (): number =>
    playing === null || state !== 'playing' ? resting : within(timeline.placeAt(playing.desk.time()));
  const tellProgress = (seconds: number): void => {
    const store = opening.now?.store;
    const ready = store === undefined ? 0 : needed.filter((v) => store.has(v)).length;
    emit('progress', { seconds, duration, ready, needed: needed.length });
  };

  const opening = createOpening(
    parts,
    (desk) => {
      desk.setVolume(volumeDb);
      desk.setRoom?.(room);
    },
    () => {
      if (state !== 'playing') tellProgress(resting);
    },
  );

  /** Lets go of a run; what has been scheduled falls silent. */
  const halt = (): void => {
    turn++;
    endTicks?.();
    endTicks = null;
    playing?.run.close(STOP_FADE);
    playing = null;
    toTell = [];
    midi?.out.allOff();
  };

  /** Does the next events that lie before the horizon, and turns back where a loop ends. */
  const strikeAhead = (to: Playing<B>, now: number): void => {
    for (;;) {
      const event = events[next];
      const edge = loop === null ? Infinity : loop.to;
      if (event !== undefined && event.seconds < edge) {
        const due = timeline.audioAt(event.seconds);
        if (due >= horizon) return;
        const at = due > now ? due : now + 0.002;
        next++;
        if (midi?.alone !== true) to.strikes.strike(event, at, rate);
        if (midi !== null) sendEvent(midi.out, event, clock() + (at - now) * 1000, rate);
        if (event.kind !== 'pluck') continue;
        started++;
        const { id, from, string } = event.note;
        toTell.push({ audio: at, tell: () => emit('note', { id, from, string, seconds: event.seconds }) });
      } else if (loop !== null) {
        const at = Math.max(timeline.audioAt(loop.to), timeline.lastTurn, now);
        if (at >= horizon) return;
        timeline.turn(at, loop.from, rate);
        next = firstEventFrom(events, loop.from);
      } else return;
    }
  };

  const tick = (to: Playing<B>): void => {
    const now = to.desk.time();
    const from = next;
    horizon = now + AHEAD;
    strikeAhead(to, now);
    if (next !== from) prefetch(to.store);
    while (toTell[0] !== undefined && toTell[0].audio <= now) {
      toTell.shift()?.tell();
      // A listener may have stopped us.
      if (playing !== to) return;
    }
    timeline.forget(now);
    const seconds = timeline.placeAt(now);
    tellProgress(within(seconds));
    if (playing !== to || loop !== null) return;
    if (seconds >= duration && next >= events.length && toTell.length === 0) {
      endTicks?.();
      endTicks = null;
      // What rings is left to ring: the run stays open until the next one.
      midi?.out.rest(clock() + MIDI_RING);
      resting = 0;
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
    // What rings along must not drive out what is plucked.
    const along = strings.bytes < IDLE_BYTES ? alongWith(soon) : [];
    const missing = [...voicesNeeded(soon), ...along].filter((v) => !strings.has(v));
    if (missing.length > 0) strings.wantSoon(missing);
  };

  const begin = async (fromSeconds: number, counting: boolean): Promise<void> => {
    const before = state;
    halt();
    const mine = turn;
    resting = fromSeconds;
    if (counting || before !== 'playing') setState('preparing');
    try {
      // Where the desk is open already this asks for sound within the gesture itself.
      const running = opening.now?.desk.resume();
      const { desk: to, store: strings } = await opening.open();
      if (mine !== turn) return;
      const heard = unevenly && parts.uneven !== undefined ? uneven(notes, parts.uneven) : notes;
      events = eventsOf(heard);
      next = firstEventFrom(events, fromSeconds);
      const edge = fromSeconds + FIRST_SECONDS * rate;
      const first = events.slice(next, firstEventFrom(events, edge)).map((e) => e.note);
      strings.wantIdly([...needed, ...alongWith(notes)]);
      await Promise.all([running ?? to.resume(), strings.ready(voicesNeeded(first))]);
      if (mine !== turn) return;
      const run = to.open();
      const all: Playing<B> = { desk: to, store: strings, run, strikes: createStrikes(strings, run) };
      playing = all;
      const press = to.time() + LEAD;
      const beats = counting ? countInBeats(countIn, rate) : [];
      beats.forEach((after, i) => {
        const audio = press + after;
        run.start(to.buffer(countInClick(to.sampleRate, i === 0)), audio, 1, 0);
        toTell.push({ audio, tell: () => emit('count', { beat: i + 1, of: beats.length }) });
      });
      const start = press + (countIn === null ? 0 : (beats.length * countIn.seconds) / rate);
      timeline.start(start, fromSeconds, rate);
      if (midi?.alone !== true) all.strikes.takeUp(ringingAt(events, next, fromSeconds, rate), start);
      endTicks = to.every(() => tick(all));
      setState('playing');
      if (playing === all) tick(all);
    } catch (reason) {
      if (mine === turn) setState('stopped');
      throw reason;
    }
  };

  return {
    load: (given, durationSeconds) => {
      halt();
      notes = [...given].sort((a, b) => a.onset - b.onset);
      events = eventsOf(notes);
      needed = voicesNeeded(notes);
      duration = Math.max(durationSeconds, events.at(-1)?.seconds ?? 0);
      started = 0;
      resting = 0;
      loop = null;
      setState('stopped');
      void opening.open().then(
        (opened) => opened.store.wantIdly([...needed, ...alongWith(notes)]),
        () => undefined,
      );
    },
    prepare: () => {
      void opening.open().catch(() => undefined);
    },
    play: (fromSeconds = resting) => begin(within(fromSeconds), true),
    pause: () => {
      if (state !== 'playing' && state !== 'preparing') return;
      resting = place();
      halt();
      setState('paused');
      tellProgress(resting);
    },
    stop: () => {
      halt();
      resting = 0;
      setState('stopped');
    },
    seek: (seconds) => {
      const to = within(seconds);
      if (state === 'playing' || state === 'preparing') {
        // Sound has been allowed before: a refusal now leaves the passage standing at its new place.
        begin(to, state === 'preparing').catch(() => undefined);
      } else resting = to;
      tellProgress(to);
    },
    setLoop: (to) => {
      loop = loopWithin(to, duration);
    },
    setCountIn: (to) => {
      countIn = countInWithin(to);
    },
    setRoom: (on) => {
      room = on;
      opening.now?.desk.setRoom?.(on);
    },
    setUneven: (on) => {
      unevenly = on;
    },
    setMidi: (out, alone = false) => {
      midi?.out.allOff();
      midi = out === null ? null : { out, alone };
    },
    pluck: async (note) => {
      const running = opening.now?.desk.resume();
      const { desk, store } = await opening.open();
      await Promise.all([running ?? desk.resume(), store.ready([voiceOf(note)])]);
      hand ??= createStrikes(store, desk.open());
      const now = desk.time() + 0.01;
      hand.strike({ seconds: 0, kind: 'pluck', note, bend: 0 }, now, 1);
      midi?.out.pluck(note.string, note.midi, note.velocity, clock());
    },
    get state() {
      return state;
    },
    get seconds() {
      return place();
    },
    setVolume: (db) => {
      volumeDb = Math.min(0, Math.max(-60, db));
      opening.now?.desk.setVolume(volumeDb);
    },
    setRate: (to) => {
      rate = Math.min(RATE_RANGE.most, Math.max(RATE_RANGE.least, to));
      if (playing === null) return;
      // What lies within the horizon is scheduled already: the new rate begins there.
      const at = Math.max(horizon, timeline.lastTurn);
      timeline.turn(at, timeline.placeAt(at), rate);
    },
    level: () => opening.now?.desk.level() ?? 0,
    get notesStarted() {
      return started;
    },
    on: listeners.on,
    dispose: () => {
      halt();
      state = 'stopped';
      listeners.clear();
      opening.dispose();
    },
  };
}
