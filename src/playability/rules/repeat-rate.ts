/** How often one string is plucked: again within 0.09 s cannot be done, fast repeats are slow and buzz. */

import type { Problem } from '../../base/problem';
import { stringName } from '../../harp/strings';
import type { Strike } from '../passage-index';
import type { Limits } from '../limits';
import { type Rule, idsOf, milliRate, musicProblem, perSecond, toSeconds } from '../rule';
import { type Run, joinRuns } from '../runs';

/** The comfortable rate of a string in thousandths a second: in proportion between the two landmarks. */
export function repeatLimit(limits: Limits, string: number): number {
  const [low, high] = [limits.repeatLowBelow.value, limits.repeatHighFrom.value];
  const [slow, fast] = [limits.repeatLow.value, limits.repeatHigh.value];
  if (string <= low) return slow;
  if (string >= high) return fast;
  return slow + Math.floor(((fast - slow) * (string - low)) / (high - low));
}

function checkString(limits: Limits, string: number, strikes: readonly Strike[]): Problem[] {
  const hard: Problem[] = [];
  const runs: Run[] = [];
  const limit = repeatLimit(limits, string);
  for (let i = 1; i < strikes.length; i++) {
    const [a, b] = [strikes[i - 1] as Strike, strikes[i] as Strike];
    if (a.onset === b.onset) continue;
    const gap = b.at - a.at;
    if (gap + 1 < limits.sameString.value) {
      if (a.hand !== b.hand) continue; // the rule of the shared string speaks
      const found = {
        value: toSeconds(gap),
        limit: toSeconds(limits.sameString.value),
        unit: 's',
        source: limits.sameString.source,
      };
      hard.push(
        musicProblem('repeat-rate', 'error', b.onset, idsOf([a, b]), found, {
          kind: 'hard',
          string: stringName(string),
        }),
      );
      continue;
    }
    const rate = milliRate(1, gap);
    if (rate > limit) runs.push({ from: i - 1, to: i, worst: rate });
  }
  const soft = joinRuns(runs).map((run) => {
    const inside = strikes.slice(run.from, run.to + 1);
    const found = {
      value: perSecond(run.worst),
      limit: Math.floor(limit / 100) / 10,
      unit: 'notes/s',
      source: limits.repeatHigh.source,
    };
    // Struck twice only: a time says more than a rate.
    const [first, second] = inside as [Strike, Strike];
    const again = inside.length === 2 ? { again: toSeconds(second.at - first.at) } : {};
    return musicProblem('repeat-rate', 'warning', second.onset, idsOf(inside), found, {
      kind: 'fast',
      string: stringName(string),
      ...again,
    });
  });
  return [...hard, ...soft];
}

export const rule: Rule = {
  code: 'repeat-rate',
  source:
    'Einarsdóttir, harp notation manual, Sibelius Academy; Goss, 100 Orchestration Tips, no. 65; rates: common practice',
  check({ index, limits }) {
    return [...index.byString].flatMap(([string, strikes]) => checkString(limits, string, strikes));
  },
};
