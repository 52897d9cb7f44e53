/** The clock of a part: ticks and microseconds, remembered. */

import { type Ticks, ticks } from '../base/units';
import type { Passage } from '../music/passage';
import { tempoMap } from '../music/tempo';

export interface Clock {
  microsAt(at: Ticks): number;
  /** The first tick whose time is not before `us`. */
  ticksAfter(us: number): number;
}

/** The part's clock, remembered tick by tick. */
export function clockOf(passage: Passage): Clock {
  const map = tempoMap(passage.tempo);
  const known = new Map<number, number>();
  const microsAt = (at: Ticks): number => {
    let us = known.get(at);
    if (us === undefined) known.set(at, (us = map.microsAt(at)));
    return us;
  };
  const ticksAfter = (us: number): number => {
    let t: number = map.ticksAt(us as ReturnType<typeof map.microsAt>);
    while (map.microsAt(ticks(t)) < us) t++;
    return t;
  };
  return { microsAt, ticksAfter };
}
