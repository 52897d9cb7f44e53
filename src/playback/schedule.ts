/** When things happen: notes as timed events, and the clock that maps passage time to the audio clock. */

import type { PlayedNote } from '../harp/performance';

/** Something to do at a place in the passage (seconds at rate 1). */
export interface PlayEvent {
  readonly seconds: number;
  readonly kind: 'pluck' | 'damp';
  readonly note: PlayedNote;
}

/** Plucks, and the damps that a hand makes, in order; a damp comes before a pluck of the same instant. */
export function eventsOf(notes: readonly PlayedNote[]): PlayEvent[] {
  const out: PlayEvent[] = [];
  for (const note of notes) {
    out.push({ seconds: note.onset / 1_000_000, kind: 'pluck', note });
    if (note.releasedBy === 'damp' && note.release !== null) {
      out.push({ seconds: note.release / 1_000_000, kind: 'damp', note });
    }
  }
  const rank = (e: PlayEvent): number => (e.kind === 'damp' ? 0 : 1);
  return out.sort((a, b) => a.seconds - b.seconds || rank(a) - rank(b) || a.note.string - b.note.string);
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
/** The clock that runs at another rate from an audio time on, without a jump. */
export const withRate = (clock: Clock, audio: number, rate: number): Clock => ({
  audio,
  place: placeAt(clock, audio),
  rate,
});
