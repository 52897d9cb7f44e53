/** A leap to a chord takes the time of the leap and that of placing the fingers: a quarter of a second for all four. */

import type { Problem } from '../../base/problem';
import { stringName } from '../../harp/strings';
import { type Group, highOf, lowOf, stringsOf } from '../passage-index';
import { HAND_NAMES, type Rule, idsOf, musicProblem, toSeconds } from '../rule';
import { leapTime } from './leap';

/** The times are a rule of thumb: nothing is said of this much less. */
const SLACK = 20_000;
/** Fingers beyond the first of a full hand. */
const MORE = 3;

export const rule: Rule = {
  code: 'placing',
  source: 'common practice',
  check({ index, limits }) {
    const out: Problem[] = [];
    for (const hand of ['R', 'L'] as const) {
      const groups = index.hands[hand];
      for (let i = 1; i < groups.length; i++) {
        const [a, b] = [groups[i - 1] as Group, groups[i] as Group];
        const travel = leapTime(limits, a, b);
        const notes = stringsOf(b.strikes).length;
        if (travel === 0 || notes < 2) continue;
        const need = travel + Math.floor((limits.placing.value * Math.min(notes - 1, MORE)) / MORE);
        const have = b.at - a.at;
        // Where even the leap has no time, its own rule says so.
        if (have + SLACK >= need || have + 1 < travel) continue;
        const found = {
          value: toSeconds(have),
          limit: toSeconds(need),
          unit: 's',
          source: limits.placing.source,
        };
        out.push(
          musicProblem('placing', 'warning', b.onset, idsOf([...a.strikes, ...b.strikes]), found, {
            hand: HAND_NAMES[hand],
            notes,
            from: stringName(lowOf(a)),
            low: stringName(lowOf(b)),
            high: stringName(highOf(b)),
          }),
        );
      }
    }
    return out;
  },
};
