/** Near the soundboard and back: the hand travels, and plays one place or the other, not both at once. */

import type { Problem } from '../../base/problem';
import type { Group } from '../passage-index';
import { HAND_NAMES, type Rule, idsOf, musicProblem, toSeconds } from '../rule';
import { type Run, joinRuns } from '../runs';

const SOURCE = 'common practice';
const atTable = (g: Group): boolean => g.strikes.some((s) => s.technique === 'table');

export const rule: Rule = {
  code: 'table',
  source: SOURCE,
  check({ index, limits }) {
    const { value: limit } = limits.tableMove;
    return (['R', 'L'] as const).flatMap((hand): Problem[] => {
      const groups = index.hands[hand];
      if (!groups.some(atTable)) return [];
      const name = HAND_NAMES[hand];
      const both = groups
        .filter((g) => atTable(g) && g.strikes.some((s) => s.technique !== 'table'))
        .map((g) => {
          const found = { value: 'both places at once', limit: 'one place', source: SOURCE };
          return musicProblem('table', 'warning', g.onset, idsOf(g.strikes), found, {
            kind: 'both',
            hand: name,
          });
        });
      const runs: Run[] = [];
      for (let i = 1; i < groups.length; i++) {
        const [a, b] = [groups[i - 1] as Group, groups[i] as Group];
        const gap = b.at - a.at;
        if (atTable(a) !== atTable(b) && gap + 1 < limit)
          runs.push({ from: i - 1, to: i, worst: limit - gap });
      }
      const moves = joinRuns(runs).map((run) => {
        const inside = groups.slice(run.from, run.to + 1);
        const found = {
          value: toSeconds(limit - run.worst),
          limit: toSeconds(limit),
          unit: 's',
          source: limits.tableMove.source,
        };
        const ids = inside.flatMap((g) => idsOf(g.strikes));
        return musicProblem('table', 'warning', (inside[1] as Group).onset, ids, found, {
          kind: 'travel',
          hand: name,
          times: run.to - run.from,
          to: atTable(inside[1] as Group) ? 'soundboard' : 'strings',
        });
      });
      return [...both, ...moves];
    });
  },
};
