/** The tempo map: the only way from ticks to seconds. */

import {
  type Micros,
  type Seconds,
  type Ticks,
  TICKS_PER_QUARTER,
  micros,
  seconds,
  ticks,
} from '../base/units';

export interface TempoChange {
  readonly onset: Ticks;
  /** Quarter notes per minute, in thousandths, so that files and plans stay in integers: 96,000 is ♩ = 96. */
  readonly milliBpm: number;
  /** It is played and not printed: a file's `sound` without a metronome mark. */
  readonly unseen?: true;
}

/** A part without a tempo is read at ♩ = 90. */
export const DEFAULT_MILLI_BPM = 90_000;

/** Converter between ticks and time over a list of changes (sorted by onset; an initial default is assumed). */
export interface TempoMap {
  readonly changes: readonly TempoChange[];
  /** Integer microseconds from the start, rounded down at each change of tempo. */
  microsAt(at: Ticks): Micros;
  secondsAt(at: Ticks): Seconds;
  /** The latest tick whose time is not after the given time. */
  ticksAt(time: Micros): Ticks;
}

export function tempoMap(changes: readonly TempoChange[]): TempoMap {
  const list =
    changes[0]?.onset === 0 ? changes : [{ onset: ticks(0), milliBpm: DEFAULT_MILLI_BPM }, ...changes];
  // One quarter lasts 60e9 / milliBpm microseconds.
  const span = (n: number, milliBpm: number): number =>
    Math.floor((n * 60_000_000_000) / (milliBpm * TICKS_PER_QUARTER));
  const starts: number[] = [0];
  for (let i = 1; i < list.length; i++) {
    const before = list[i - 1] as TempoChange;
    starts.push(
      (starts[i - 1] as number) + span((list[i] as TempoChange).onset - before.onset, before.milliBpm),
    );
  }
  // The test passes up to some change and from there on no more.
  const last = (test: (i: number) => boolean): number => {
    let [low, high] = [0, list.length - 1];
    while (low < high) {
      const mid = (low + high + 1) >> 1;
      if (test(mid)) low = mid;
      else high = mid - 1;
    }
    return low;
  };
  const microsAt = (at: Ticks): Micros => {
    const i = last((k) => (list[k] as TempoChange).onset <= at);
    const c = list[i] as TempoChange;
    return micros((starts[i] as number) + span(at - c.onset, c.milliBpm));
  };
  return {
    changes: list,
    microsAt,
    secondsAt: (at) => seconds(microsAt(at) / 1_000_000),
    ticksAt: (time) => {
      const i = last((k) => (starts[k] as number) <= time);
      const c = list[i] as TempoChange;
      return ticks(
        c.onset +
          Math.floor(((time - (starts[i] as number)) * c.milliBpm * TICKS_PER_QUARTER) / 60_000_000_000),
      );
    },
  };
}
