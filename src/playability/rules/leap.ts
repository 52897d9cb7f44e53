/** Leaps of one hand take time: two octaves 0.45 s, shorter ones in proportion, none inside the hand's span. */

import type { Problem } from '../../base/problem';
import { stringName } from '../../harp/strings';
import { type Group, highOf, lowOf } from '../passage-index';
import { HAND_NAMES, type Rule, idsOf, musicProblem, toSeconds } from '../rule';

export const rule: Rule = {
  code: 'leap',
  source: 'common practice',
  check({ index, limits }) {
    const out: Problem[] = [];
    const { leapStrings, leapTime, span } = limits;
    for (const hand of ['R', 'L'] as const) {
      const groups = index.hands[hand];
      for (let i = 1; i < groups.length; i++) {
        const [a, b] = [groups[i - 1] as Group, groups[i] as Group];
        // Twice the way of the hand's middle, so that halves stay whole numbers.
        const way = Math.abs(lowOf(b) + highOf(b) - lowOf(a) - highOf(a));
        if (way <= 2 * span.value) continue;
        const need = Math.floor((leapTime.value * way) / (2 * leapStrings.value));
        const have = b.at - a.at;
        if (have + 1 >= need) continue;
        const found = { value: toSeconds(have), limit: toSeconds(need), unit: 's', source: leapTime.source };
        out.push(
          musicProblem('leap', 'warning', b.onset, idsOf([...a.strikes, ...b.strikes]), found, {
            hand: HAND_NAMES[hand],
            strings: Math.floor(way / 2),
            from: stringName(lowOf(a)),
            to: stringName(lowOf(b)),
          }),
        );
      }
    }
    return out;
  },
};
