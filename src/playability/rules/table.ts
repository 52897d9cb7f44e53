/** Near the soundboard: middle and low strings, close chords. */

import { stringName } from '../../harp/strings';
import { pitchName } from '../../music/pitch';
import { highOf, lowOf } from '../passage-index';
import { groupsOf } from '../rates';
import { HAND_NAMES, type Rule, idsOf, musicProblem } from '../rule';

export const rule: Rule = {
  code: 'table',
  source: 'common practice',
  check(input) {
    const { tableHigh: high, tableSpan: wide } = input.limits;
    const out = input.index.strikes
      .filter((s) => s.technique === 'table' && s.string > high.value)
      .map((s) =>
        musicProblem(
          'table',
          'warning',
          s.onset,
          [s.id],
          { value: pitchName(s.pitch), limit: stringName(high.value), source: high.source },
          { kind: 'range' },
        ),
      );
    for (const hand of ['R', 'L'] as const) {
      for (const g of groupsOf(input, hand, 'table')) {
        const value = highOf(g) - lowOf(g);
        if (value <= wide.value) continue;
        const found = { value, limit: wide.value, unit: 'strings', source: wide.source };
        const detail = { kind: 'span', hand: HAND_NAMES[hand] };
        out.push(musicProblem('table', 'warning', g.onset, idsOf(g.strikes), found, detail));
      }
    }
    return out;
  },
};
