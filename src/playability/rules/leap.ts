/** Leaps of one hand take time: two octaves 0.45 s, shorter ones in proportion, none inside the hand's span. */

import type { Problem } from '../../base/problem';
import { stringName } from '../../harp/strings';
import type { Limits } from '../limits';
import { type Group, highOf, lowOf } from '../passage-index';
import { HAND_NAMES, type Rule, idsOf, musicProblem, toSeconds } from '../rule';

/** Microseconds that a hand needs from one group to the next; 0 inside its span. */
export function leapTime({ leapStrings, leapTime: time, span }: Limits, a: Group, b: Group): number {
  // Twice the way of the hand's middle, so that halves stay whole numbers.
  const way = Math.abs(lowOf(b) + highOf(b) - lowOf(a) - highOf(a));
  return way <= 2 * span.value ? 0 : Math.floor((time.value * way) / (2 * leapStrings.value));
}

export const rule: Rule = {
  code: 'leap',
  source: 'common practice',
  check({ index, limits }) {
    const out: Problem[] = [];
    for (const hand of ['R', 'L'] as const) {
      const groups = index.hands[hand];
      for (let i = 1; i < groups.length; i++) {
        const [a, b] = [groups[i - 1] as Group, groups[i] as Group];
        const need = leapTime(limits, a, b);
        const have = b.at - a.at;
        if (need === 0 || have + 1 >= need) continue;
        const { source } = limits.leapTime;
        const found = { value: toSeconds(have), limit: toSeconds(need), unit: 's', source };
        out.push(
          musicProblem('leap', 'warning', b.onset, idsOf([...a.strikes, ...b.strikes]), found, {
            hand: HAND_NAMES[hand],
            strings: Math.floor(Math.abs(lowOf(b) + highOf(b) - lowOf(a) - highOf(a)) / 2),
            from: stringName(lowOf(a)),
            to: stringName(lowOf(b)),
          }),
        );
      }
    }
    return out;
  },
};
