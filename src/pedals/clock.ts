/** Ticks and microseconds: the spacing of two instants, asked in ticks, measured in time. */

import { type Ticks, micros, ticks } from '../base/units';
import { type TempoChange, tempoMap } from '../music/tempo';

export interface Clock {
  microsAt(at: number): number;
  /** The first tick that lies at least `gap` microseconds after a tick. */
  after(at: number, gap: number): Ticks;
  /** The last tick that lies at least `gap` microseconds before a tick; may be negative. */
  before(at: number, gap: number): Ticks;
}

export function clockOf(changes: readonly TempoChange[]): Clock {
  const map = tempoMap(changes);
  const microsAt = (at: number): number => map.microsAt(ticks(at));
  return {
    microsAt,
    after: (at, gap) => {
      const due = microsAt(at) + gap;
      let t: number = map.ticksAt(micros(due));
      while (microsAt(t) < due) t++;
      while (t > at && microsAt(t - 1) >= due) t--;
      return ticks(t);
    },
    before: (at, gap) => {
      const due = microsAt(at) - gap;
      let t: number = map.ticksAt(micros(due));
      while (microsAt(t) > due) t--;
      while (t < at && microsAt(t + 1) <= due) t++;
      return ticks(t);
    },
  };
}
