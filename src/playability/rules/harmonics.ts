/** Harmonics: where they sound, how many at once, how close together, how fast. */

import type { Problem } from '../../base/problem';
import { stringName } from '../../harp/strings';
import type { Hand } from '../../music/passage';
import { pitchName } from '../../music/pitch';
import { type Group, highOf, lowOf, stringsOf } from '../passage-index';
import { groupsOf, tooFast } from '../rates';
import { HAND_NAMES, type Rule, type RuleInput, idsOf, musicProblem } from '../rule';

function checkGroup({ limits }: RuleInput, hand: Hand, g: Group): Problem[] {
  const out: Problem[] = [];
  const name = HAND_NAMES[hand];
  const many = hand === 'R' ? limits.harmonicRight : limits.harmonicLeft;
  const count = stringsOf(g.strikes).length;
  if (count > many.value) {
    const found = { value: count, limit: many.value, unit: 'notes', source: many.source };
    out.push(
      musicProblem('harmonics', 'warning', g.onset, idsOf(g.strikes), found, { kind: 'many', hand: name }),
    );
  }
  const span = highOf(g) - lowOf(g);
  if (span > limits.harmonicSpan.value) {
    const { value: limit, source } = limits.harmonicSpan;
    const found = { value: span, limit, unit: 'strings', source };
    out.push(
      musicProblem('harmonics', 'warning', g.onset, idsOf(g.strikes), found, { kind: 'span', hand: name }),
    );
  }
  return out;
}

function checkRange({ index, limits }: RuleInput): Problem[] {
  const { harmonicLow: low, harmonicHigh: high } = limits;
  return index.strikes
    .filter((s) => s.technique === 'harmonic' && (s.string < low.value || s.string > high.value))
    .map((s) =>
      musicProblem(
        'harmonics',
        'warning',
        s.onset,
        [s.id],
        {
          value: pitchName(s.pitch),
          limit: `${stringName(low.value)}–${stringName(high.value)}`,
          source: low.source,
        },
        { kind: 'range' },
      ),
    );
}

export const rule: Rule = {
  code: 'harmonics',
  source:
    'Einarsdóttir, harp notation manual, Sibelius Academy; Kuntz, article on harmonics; common practice',
  check(input) {
    const out = checkRange(input);
    for (const hand of ['R', 'L'] as const) {
      const groups = groupsOf(input, hand, 'harmonic');
      for (const g of groups) out.push(...checkGroup(input, hand, g));
      out.push(...tooFast('harmonics', hand, groups, input.limits.harmonicRate));
    }
    return out;
  },
};
