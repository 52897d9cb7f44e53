/** What an orchestra covers, and what should not be forced: loud marks where the harp has little to give. */

import type { Problem } from '../../base/problem';
import type { Dynamic } from '../../music/passage';
import type { Limit } from '../limits';
import { type Group, highOf } from '../passage-index';
import { type Rule, idsOf, musicProblem } from '../rule';

const LOUD: readonly Dynamic[] = ['f', 'ff', 'fff'];
const FORCED: readonly Dynamic[] = ['ff', 'fff'];
const dynamicOf = (g: Group): Dynamic => g.strikes[0]?.pluck.dynamic ?? 'mf';

/** Stretches of neighbouring onsets that pass a test. */
function stretches(groups: readonly Group[], test: (g: Group) => boolean): Group[][] {
  const out: Group[][] = [];
  let open: Group[] | null = null;
  for (const g of groups) {
    if (!test(g)) open = null;
    else if (open === null) out.push((open = [g]));
    else open.push(g);
  }
  return out;
}

function say(inside: readonly Group[], kind: string, limit: Limit, allowed: string): Problem {
  const first = inside[0] as Group;
  const ids = inside.flatMap((g) => idsOf(g.strikes));
  const found = { value: dynamicOf(first), limit: allowed, source: limit.source };
  return musicProblem('balance', 'warning', first.onset, ids, found, { kind, count: inside.length });
}

export const rule: Rule = {
  code: 'balance',
  source: 'Berlioz, Grand traité d’instrumentation (1844/55), p. 89; common practice',
  check({ index, limits }) {
    const loud = (g: Group): boolean => LOUD.includes(dynamicOf(g));
    const few = (g: Group): boolean => g.strikes.length < limits.alone.value;
    const forced = stretches(index.onsets, (g) =>
      g.strikes.some((s) => s.string >= limits.forcedFrom.value && FORCED.includes(s.pluck.dynamic)),
    );
    const low = stretches(
      index.onsets,
      (g) =>
        loud(g) && few(g) && highOf(g) < limits.bassBelow.value && g.strikes[0]?.technique === 'ordinary',
    );
    const soft = stretches(
      index.onsets,
      (g) => loud(g) && g.strikes.every((s) => s.technique === 'harmonic' || s.technique === 'etouffe'),
    );
    return [
      ...forced.map((s) => say(s, 'forced', limits.forcedFrom, 'f')),
      ...low.map((s) => say(s, 'low', limits.alone, 'mf')),
      ...soft.map((s) => say(s, 'soft', limits.alone, 'mf')),
    ];
  },
};
