/** When things happen: notes as timed events, and the clock that maps passage time to the audio clock. */

import type { PlayedNote } from '../harp/performance';
import { glidesOf } from '../sound/bend';

/** Something to do at a place in the passage (seconds at rate 1). */
export interface PlayEvent {
  readonly seconds: number;
  readonly kind: 'pluck' | 'damp' | 'bend';
  readonly note: PlayedNote;
  /** Which of the note's bends; 0 for the rest. */
  readonly bend: number;
}

const RANK = { bend: 0, damp: 1, pluck: 2 } as const;

/** Plucks, the damps that a hand makes and the bends that a pedal makes (placed where they begin), in order. */
export function eventsOf(notes: readonly PlayedNote[]): PlayEvent[] {
  const out: PlayEvent[] = [];
  for (const note of notes) {
    const start = note.onset / 1_000_000;
    out.push({ seconds: start, kind: 'pluck', note, bend: 0 });
    if (note.releasedBy === 'damp' && note.release !== null) {
      out.push({ seconds: note.release / 1_000_000, kind: 'damp', note, bend: 0 });
    }
    glidesOf(note).forEach((glide, bend) => {
      // A pedal that moves with the stroke still bends after it.
      out.push({ seconds: start + Math.max(0.001, glide.from), kind: 'bend', note, bend });
    });
  }
  return out.sort(
    (a, b) => a.seconds - b.seconds || RANK[a.kind] - RANK[b.kind] || a.note.string - b.note.string,
  );
}

/** Index of the first event not before a place. */
export function firstEventFrom(events: readonly PlayEvent[], seconds: number): number {
  let low = 0;
  let high = events.length;
  while (low < high) {
    const mid = (low + high) >> 1;
    if ((events[mid] as PlayEvent).seconds < seconds) low = mid + 1;
    else high = mid;
  }
  return low;
}

/** A straight line between audio time and passage time. */
export interface Clock {
  /** Audio time at which the passage stands at `place`. */
  readonly audio: number;
  readonly place: number;
  readonly rate: number;
}

export const placeAt = (clock: Clock, audio: number): number =>
  clock.place + (audio - clock.audio) * clock.rate;
export const audioAt = (clock: Clock, place: number): number =>
  clock.audio + (place - clock.place) / clock.rate;
/** Slowest and fastest tempo that the transport offers, in quarters a minute. */
export const TEMPO_RANGE = { least: 30, most: 240 } as const;
export const RATE_RANGE = { least: 0.125, most: 8 } as const;

/** The rate at which a passage written at one tempo is heard at another, kept to 30 … 240 (quarters a minute). */
export function rateForTempo(written: number, wanted: number): number {
  const tempo = Math.min(TEMPO_RANGE.most, Math.max(TEMPO_RANGE.least, wanted));
  return Math.min(RATE_RANGE.most, Math.max(RATE_RANGE.least, tempo / written));
}

/** Where the passage stands at every audio time: one straight line after another. */
export interface Timeline {
  /** Begins anew. */
  start(audio: number, place: number, rate: number): void;
  /** Jumps to a place, or goes on at another rate, from an audio time on (kept to the last turn's). */
  turn(audio: number, place: number, rate: number): void;
  /** The place at an audio time; before the start, as if it had run already. */
  placeAt(audio: number): number;
  /** The audio time of a place on the last line. */
  audioAt(place: number): number;
  /** The start of the last line. */
  readonly lastTurn: number;
  /** Gives up the lines that have ended. */
  forget(now: number): void;
}

export function createTimeline(): Timeline {
  let lines: readonly [Clock, ...Clock[]] = [{ audio: 0, place: 0, rate: 1 }];
  const last = (): Clock => lines.at(-1) as Clock;
  return {
    start: (audio, place, rate) => {
      lines = [{ audio, place, rate }];
    },
    turn: (audio, place, rate) => {
      const line = { audio: Math.max(audio, last().audio), place, rate };
      const [first, ...rest] = lines;
      const kept = rest.filter((l) => l.audio < line.audio);
      lines = first.audio < line.audio ? [first, ...kept, line] : [line];
    },
    placeAt: (audio) => {
      let at: Clock = lines[0];
      for (const line of lines) if (line.audio <= audio) at = line;
      return placeAt(at, audio);
    },
    audioAt: (place) => audioAt(last(), place),
    get lastTurn() {
      return last().audio;
    },
    forget: (now) => {
      const [first, ...rest] = lines;
      const over = rest.findLastIndex((l) => l.audio <= now);
      if (over >= 0) lines = [rest[over] as Clock, ...rest.slice(over + 1)];
      else lines = [first, ...rest];
    },
  };
}
