/** Damping takes hands and time: both hands and half a second for all strings, the left hand alone for the low ones. */

import type { Problem } from '../../base/problem';
import { stringName } from '../../harp/strings';
import { type Group, firstIndex } from '../passage-index';
import { type Rule, musicProblem, toSeconds } from '../rule';

/** Microseconds from the last stroke before an instant to the first at it or after; endless at either end. */
function between(groups: readonly Group[], at: number): number {
  const next = firstIndex(groups.length, (i) => (groups[i] as Group).at >= at);
  const [a, b] = [groups[next - 1], groups[next]];
  return a === undefined || b === undefined ? Infinity : b.at - a.at;
}

export const rule: Rule = {
  code: 'damp-time',
  source: 'Einarsdóttir, harp notation manual, Sibelius Academy; time: common practice',
  check({ planned, index, limits }) {
    return planned.passage.damps.flatMap((damp): Problem[] => {
      const whole = damp.below === undefined;
      const limit = whole ? limits.dampAll : limits.dampLow;
      const time = between(whole ? index.onsets : index.hands.L, index.microsAt(damp.onset));
      if (time + 1 >= limit.value) return [];
      const found = {
        value: toSeconds(time),
        limit: toSeconds(limit.value),
        unit: 's',
        source: limit.source,
      };
      const detail = {
        kind: whole ? 'all' : 'low',
        ...(damp.below === undefined ? {} : { below: stringName(damp.below) }),
      };
      return [musicProblem('damp-time', 'warning', damp.onset, [], found, detail)];
    });
  },
};
