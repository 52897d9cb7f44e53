/** What stands at an instant: dynamic, technique and pedals by the marks before it. */

import type { Ticks } from '../../../base/units';
import type { Dynamic, Technique } from '../../../music/passage';
import { VELOCITIES } from '../../../harp/performance';
import { type Setting, keySetting, withPosition } from '../../../harp/setting';
import type { Played } from './play';

/** The last value of a sorted row of changes at or before a tick, found by halving. */
function at<T>(changes: readonly { onset: Ticks; value: T }[], when: number, otherwise: T): T {
  let low = 0;
  let high = changes.length;
  while (low < high) {
    const mid = (low + high) >> 1;
    if ((changes[mid]?.onset ?? 0) <= when) low = mid + 1;
    else high = mid;
  }
  return low === 0 ? otherwise : (changes[low - 1]?.value ?? otherwise);
}

export interface Lookups {
  readonly dynamic: (lane: 1 | 2, when: number) => Dynamic;
  readonly technique: (staff: 1 | 2, when: number) => Technique;
  readonly setting: (when: number) => Setting;
}

const LEVELS = Object.entries(VELOCITIES) as [Dynamic, number][];

/** The dynamic whose velocity is nearest to a loudness in percent of MusicXML's forte (velocity 90). */
export function nearestDynamic(loudness: number): Dynamic {
  const velocity = (loudness * 90) / 100;
  return LEVELS.reduce((a, b) => (Math.abs(b[1] - velocity) < Math.abs(a[1] - velocity) ? b : a))[0];
}

export function lookups(played: Played): Lookups {
  const { marks, notes, fifths } = played;
  const lanes: Record<1 | 2, { onset: Ticks; value: Dynamic }[]> = { 1: [], 2: [] };
  const words: Record<1 | 2, { onset: Ticks; value: Technique }[]> = { 1: [], 2: [] };
  const settings: { onset: Ticks; value: Setting }[] = [];
  let setting = keySetting(fifths);
  // Where the notes themselves carry a technique, its words are only for the eye.
  const told = new Set(notes.map((note) => note.raw.technique));
  for (const { onset, mark } of marks) {
    if (mark.kind === 'dynamic') {
      for (const lane of [1, 2] as const) {
        if (mark.staff === 0 || mark.staff === lane) lanes[lane].push({ onset, value: mark.dynamic });
      }
    } else if (mark.kind === 'technique') {
      if (!told.has(mark.technique)) words[mark.staff].push({ onset, value: mark.technique });
    } else if (mark.kind === 'setting' || mark.kind === 'move') {
      setting =
        mark.kind === 'setting' ? mark.setting : withPosition(setting, mark.word.letter, mark.word.to);
      settings.push({ onset, value: setting });
    }
  }
  return {
    dynamic: (lane, when) => at(lanes[lane], when, 'mf'),
    technique: (staff, when) => at(words[staff], when, 'ordinary'),
    setting: (when) => at(settings, when, keySetting(fifths)),
  };
}
