/** One string for two hands: not again too soon after the other hand. */

import type { Problem } from '../../base/problem';
import { stringName } from '../../harp/strings';
import type { Strike } from '../passage-index';
import { type Rule, idsOf, musicProblem, toSeconds } from '../rule';

export const rule: Rule = {
  code: 'shared-string',
  source: 'common practice',
  check({ index, limits }) {
    const out: Problem[] = [];
    const { value: limit, source } = limits.sameString;
    for (const [string, strikes] of index.byString) {
      for (let i = 1; i < strikes.length; i++) {
        const [a, b] = [strikes[i - 1] as Strike, strikes[i] as Strike];
        const gap = b.at - a.at;
        if (b.onset === a.onset || a.hand === b.hand || gap + 1 >= limit) continue;
        const found = { value: toSeconds(gap), limit: toSeconds(limit), unit: 's', source };
        out.push(
          musicProblem('shared-string', 'error', b.onset, idsOf([a, b]), found, {
            string: stringName(string),
          }),
        );
      }
    }
    return out;
  },
};
