/** Rates of a technique in one hand: how often it comes, onset by onset. */

import type { Problem } from '../base/problem';
import type { Hand, Technique } from '../music/passage';
import type { Limit } from './limits';
import type { Group } from './passage-index';
import { HAND_NAMES, type RuleInput, milliRate, musicProblem, perSecond } from './rule';
import { joinRuns } from './runs';

/** The groups of a hand that hold a technique, with only those strikes. */
export function groupsOf({ index }: RuleInput, hand: Hand, technique: Technique): Group[] {
  return index.hands[hand]
    .map((g) => ({ ...g, strikes: g.strikes.filter((s) => s.technique === technique) }))
    .filter((g) => g.strikes.length > 0);
}

/** Warnings where two neighbouring groups follow each other faster than the limit. */
export function tooFast(code: string, hand: Hand, groups: readonly Group[], limit: Limit): Problem[] {
  const runs = groups.slice(1).flatMap((g, i) => {
    const worst = milliRate(1, g.at - (groups[i] as Group).at);
    return worst > limit.value ? [{ from: i, to: i + 1, worst }] : [];
  });
  return joinRuns(runs).map((run) => {
    const inside = groups.slice(run.from, run.to + 1);
    return musicProblem(
      code,
      'warning',
      (inside[0] as Group).onset,
      inside.flatMap((g) => g.strikes.map((s) => s.id)),
      { value: perSecond(run.worst), limit: perSecond(limit.value), unit: 'notes/s', source: limit.source },
      { kind: 'rate', hand: HAND_NAMES[hand] },
    );
  });
}
