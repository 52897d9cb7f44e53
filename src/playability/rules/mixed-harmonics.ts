/** A hand that plays a harmonic stops the string and plucks it: it plays no open string at the same time. */

import type { Problem } from '../../base/problem';
import { HAND_NAMES, type Rule, idsOf, musicProblem } from '../rule';

const SOURCE = 'Kuntz, article on harmonics; common practice';

export const rule: Rule = {
  code: 'harmonics',
  source: SOURCE,
  check({ index }) {
    return (['R', 'L'] as const).flatMap((hand) =>
      index.hands[hand].flatMap((g): Problem[] => {
        const harmonics = g.strikes.filter((s) => s.technique === 'harmonic').length;
        if (harmonics === 0 || harmonics === g.strikes.length) return [];
        const found = { value: g.strikes.length - harmonics, limit: 0, unit: 'notes', source: SOURCE };
        const detail = { kind: 'mixed', hand: HAND_NAMES[hand] };
        return [musicProblem('harmonics', 'warning', g.onset, idsOf(g.strikes), found, detail)];
      }),
    );
  },
};
