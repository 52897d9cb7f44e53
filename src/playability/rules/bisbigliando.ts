/** Bisbigliando: three to eight notes, soft, and nothing else for the hands meanwhile. */

import type { Problem } from '../../base/problem';
import type { Dynamic } from '../../music/passage';
import { endOf, groupsIn } from '../passage-index';
import { HAND_NAMES, type Rule, idsOf, musicProblem } from '../rule';

const SOURCE = 'Goss, 100 Orchestration Tips, no. 68; common practice';
const SOFT: readonly Dynamic[] = ['ppp', 'pp', 'p'];

export const rule: Rule = {
  code: 'bisbigliando',
  source: SOURCE,
  check({ planned, index, limits }) {
    const out: Problem[] = [];
    const { trembleFew: few, trembleMany: many } = limits;
    for (const t of planned.passage.trembles) {
      const ids = [t.id, ...t.notes.map((n) => n.id)];
      const count = t.notes.length;
      if (count < few.value || count > many.value) {
        const limit = count < few.value ? few : many;
        const found = { value: count, limit: limit.value, unit: 'notes', source: limit.source };
        const kind = count < few.value ? 'few' : 'many';
        out.push(musicProblem('bisbigliando', 'warning', t.onset, ids, found, { kind }));
      }
      if (!SOFT.includes(t.dynamic)) {
        const found = { value: t.dynamic, limit: 'p', source: SOURCE };
        out.push(musicProblem('bisbigliando', 'warning', t.onset, ids, found, { kind: 'loud' }));
      }
      for (const hand of ['R', 'L'] as const) {
        if (!t.notes.some((n) => n.hand === hand)) continue;
        const other = groupsIn(index.hands[hand], t.onset, endOf(t));
        const first = other[0];
        if (first === undefined) continue;
        const strikes = other.flatMap((g) => g.strikes);
        const found = { value: strikes.length, limit: 0, unit: 'notes', source: 'common practice' };
        const detail = { kind: 'busy', hand: HAND_NAMES[hand] };
        out.push(musicProblem('bisbigliando', 'warning', first.onset, idsOf(strikes), found, detail));
      }
    }
    return out;
  },
};
