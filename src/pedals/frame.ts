/** What all stages of one plan share: the options, the clock, where the passage begins and ends. */

import { type Ticks, ticks } from '../base/units';
import { type Setting, keySetting } from '../harp/setting';
import { type Passage, passageEnd } from '../music/passage';
import { clockOf } from './clock';
import { leastTime, settlingOf } from './foot-times';
import { withLocks } from './options';
import type { ScheduleFrame } from './schedule';
import { ALL_FREE, type Partial7, restrictSetting } from './tables';
import type { FootTimes, PlanOptions } from './types';

/** What all stages of one plan share. */
export interface PlanFrame extends ScheduleFrame {
  readonly options: PlanOptions;
  readonly times: FootTimes;
  readonly begin: Ticks;
  readonly finish: Ticks;
  readonly near: Setting;
}

export function frameOf(passage: Passage, options: PlanOptions): PlanFrame {
  const last = Math.max(passageEnd(passage), passage.plucks.at(-1)?.onset ?? 0);
  return {
    clock: clockOf(passage.tempo),
    gap: leastTime(options.times, settlingOf(options)),
    times: options.times,
    options,
    begin: ticks(0),
    finish: ticks(last),
    near: options.start ?? withLocks(keySetting(passage.fifths), options.locked),
  };
}

const EVERY_PEDAL = 127;
/** What must stand at the passage's end. */
export const endOf = ({ end }: PlanOptions): Partial7 =>
  end === null ? ALL_FREE : restrictSetting(end, EVERY_PEDAL);
