/** Glissandi: how fast the strings go by, and a hand that does nothing else meanwhile. */

import type { Problem } from '../../base/problem';
import type { Sweep } from '../../music/passage';
import { endOf, groupsIn } from '../passage-index';
import { HAND_NAMES, type Rule, type RuleInput, idsOf, milliRate, musicProblem, perSecond } from '../rule';

/** Fingers that may sweep side by side, as in the three-finger glissando. */
function together(a: Sweep, b: Sweep, span: number): boolean {
  return (
    a.onset === b.onset &&
    a.duration === b.duration &&
    Math.abs(a.from - b.from) <= span &&
    a.to - a.from === b.to - b.from
  );
}

function checkRate({ index, limits }: RuleInput, s: Sweep): Problem | null {
  const steps = Math.abs(s.to - s.from);
  const rate = milliRate(steps, index.microsAt(endOf(s)) - index.microsAt(s.onset));
  const { sweepSlow: slow, sweepFast: fast } = limits;
  // The rate is rounded down; at the slow end the doubt goes the other way.
  const isSlow = rate + 1 < slow.value;
  if (!isSlow && rate <= fast.value) return null;
  const limit = isSlow ? slow : fast;
  return musicProblem(
    'sweep',
    'warning',
    s.onset,
    [s.id],
    {
      value: isSlow ? Math.floor((rate + 1) / 100) / 10 : perSecond(rate),
      limit: perSecond(limit.value),
      unit: 'strings/s',
      source: limit.source,
    },
    { kind: isSlow ? 'slow' : 'fast' },
  );
}

export const rule: Rule = {
  code: 'sweep',
  source: 'common practice; three fingers at once: Berlioz, Grand traité d’instrumentation (1844/55), p. 90',
  check(input) {
    const { planned, index, limits } = input;
    const sweeps = [...planned.passage.sweeps].sort((a, b) => a.onset - b.onset);
    const out: Problem[] = [];
    sweeps.forEach((s, i) => {
      const rate = checkRate(input, s);
      if (rate !== null) out.push(rate);
      const detail = { kind: 'busy', hand: HAND_NAMES[s.hand] };
      // What the hand plucks as the sweep sets off must lie under the same hand; during it, nothing.
      const busy = groupsIn(index.hands[s.hand], s.onset, Math.max(endOf(s), s.onset + 1)).filter(
        (g) => g.onset > s.onset || g.strikes.some((k) => Math.abs(k.string - s.from) > limits.span.value),
      );
      const first = busy[0];
      if (first !== undefined) {
        const strikes = busy.flatMap((g) => g.strikes);
        const found = { value: strikes.length, limit: 0, unit: 'notes', source: 'common practice' };
        out.push(musicProblem('sweep', 'error', first.onset, [s.id, ...idsOf(strikes)], found, detail));
      }
      // Sweeps in order of time: those that begin later cannot meet this one.
      for (let k = i + 1; k < sweeps.length && (sweeps[k] as Sweep).onset < endOf(s); k++) {
        const other = sweeps[k] as Sweep;
        if (other.hand !== s.hand || endOf(other) <= s.onset) continue;
        if (together(s, other, limits.span.value)) continue;
        const found = { value: 2, limit: 1, unit: 'sweeps', source: 'common practice' };
        const ids = [s.id, other.id];
        out.push(musicProblem('sweep', 'error', other.onset, ids, found, { ...detail, kind: 'two' }));
      }
    });
    return out;
  },
};
