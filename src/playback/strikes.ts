/** Hands events to the audio system: plucks that end their string's old sound, damps, bends, and what rings along. */

import type { PlayedNote } from '../harp/performance';
import type { Position } from '../harp/setting';
import { glidesOf, ringLeft } from '../sound/bend';
import { TOUCH } from '../sound/layers';
import { type VoiceId, buzzOf, haloOf, noteGain, voiceKey, voiceOf } from '../sound/note';
import { addPartials } from '../sound/resonators';
import { DAMP_FADE, REPLUCK_FADE, panOf } from '../sound/stereo';
import type { Run, Voice } from './desk';
import type { PlayEvent } from './schedule';
import type { StringStore } from './string-store';

interface Sounding {
  readonly note: PlayedNote;
  readonly voice: Voice;
}

export interface Strikes {
  /** Does an event at an audio time. `rate` is the passage's seconds a second. */
  strike(event: PlayEvent, at: number, rate: number): void;
  /** Takes up what rings from before, at an audio time; what has not been rendered stays out. */
  takeUp(ringing: readonly Ringing[], at: number): void;
}

/** A note that rings already, and for how long (output seconds). */
export interface Ringing {
  readonly note: PlayedNote;
  readonly age: number;
}

/** What rings at a place: each string's last note if no hand has damped it and no pedal bent it. `next`: first event after. */
export function ringingAt(
  events: readonly PlayEvent[],
  next: number,
  seconds: number,
  rate: number,
): Ringing[] {
  const on = new Map<number, Ringing>();
  for (const event of events.slice(0, next)) {
    const { note } = event;
    if (event.kind === 'pluck') on.set(note.string, { note, age: (seconds - event.seconds) / rate });
    else if (on.get(note.string)?.note === note) on.delete(note.string);
  }
  return [...on.values()].filter(({ age, note }) => age > 0 && note.technique !== 'etouffe');
}

/** The strikes of one run. */
export function createStrikes<B>(store: StringStore<B>, run: Run<B>): Strikes {
  const sounding = new Map<number, Sounding>();
  const halos = new Map<number, Voice[]>();

  const pluck = (note: PlayedNote, at: number): void => {
    sounding.get(note.string)?.voice.stop(at, REPLUCK_FADE);
    const gain = noteGain(note);
    const pan = panOf(note.string, note.hand);
    sounding.set(note.string, { note, voice: run.start(store.now(voiceOf(note)), at, gain, pan) });
    const halo = haloOf(note);
    const answer = halo === null ? null : store.peek(halo);
    if (answer === null) return;
    const ringing = halos.get(note.string) ?? [];
    // Halos last two seconds or so: only the newest need to be reached.
    halos.set(note.string, [...ringing.slice(-3), run.start(answer, at, gain, pan)]);
  };

  const damp = (note: PlayedNote, at: number): void => {
    const before = sounding.get(note.string);
    if (before?.note !== note) return;
    before.voice.stop(at, DAMP_FADE);
    for (const halo of halos.get(note.string) ?? []) halo.stop(at, DAMP_FADE);
    halos.delete(note.string);
  };

  const bend = (event: PlayEvent, at: number, rate: number): void => {
    const { note } = event;
    const before = sounding.get(note.string);
    const glide = glidesOf(note)[event.bend];
    if (before?.note !== note || glide === undefined || before.voice.bend === undefined) return;
    before.voice.bend(at, (glide.to - glide.from) / rate, glide.after, glide.levelAfter);
    const voice = voiceOf(note);
    const to = (voice.position + (note.bends?.[event.bend]?.semitones ?? 0)) as Position;
    const buzz = store.peek(buzzOf(note.string, to));
    if (buzz === null) return;
    const left = ringLeft(note.string, voice.position, glide.from / rate);
    run.start(
      buzz,
      at,
      noteGain(note) * TOUCH[voice.layer].level * glide.buzz * left,
      panOf(note.string, note.hand),
    );
  };

  return {
    takeUp: (ringing, at) => {
      for (const { note, age } of ringing) {
        const buffer = store.peek(voiceOf(note));
        if (buffer === null || age >= store.secondsOf(buffer)) continue;
        const pan = panOf(note.string, note.hand);
        sounding.set(note.string, { note, voice: run.start(buffer, at, noteGain(note), pan, age) });
      }
    },
    strike: (event, at, rate) => {
      if (event.kind === 'pluck') pluck(event.note, at);
      else if (event.kind === 'damp') damp(event.note, at);
      else bend(event, at, rate);
    },
  };
}

/** What rings along with some notes, once each: halos and buzzes. They are welcome, not waited for. */
export function alongWith(notes: readonly PlayedNote[]): VoiceId[] {
  const out = new Map<string, VoiceId>();
  for (const note of notes) {
    const { position } = voiceOf(note);
    const buzzes = (note.bends ?? []).map((b) => buzzOf(note.string, (position + b.semitones) as Position));
    const halo = haloOf(note);
    for (const voice of halo === null ? buzzes : [halo, ...buzzes]) out.set(voiceKey(voice), voice);
  }
  return [...out.values()];
}

/** One beat of a count-in: a short knock, higher where a bar begins. */
export function countInClick(sampleRate: number, first: boolean): Float32Array {
  const sum = new Float64Array(Math.ceil(0.08 * sampleRate));
  const frequency = first ? 1600 : 1200;
  addPartials(sum, [{ frequency, damping: 90, amplitude: 0.2 }], sampleRate, 1e-6);
  return Float32Array.from(sum, (x, i) => (x * (sum.length - 1 - i)) / sum.length);
}
