/** Where the hands reach: the right not into the bass, the left everywhere but no intricate lines at the top. */

import type { Problem } from '../../base/problem';
import type { Ticks } from '../../base/units';
import { stringName } from '../../harp/strings';
import { handChords } from '../chords';
import { highOf } from '../passage-index';
import { HAND_NAMES, type Rule, type RuleInput, milliRate, musicProblem, perSecond } from '../rule';
import { type Run, joinRuns } from '../runs';

/** Notes that make a line: three further onsets after the first. */
const LINE = 3;

function low(input: RuleInput): Problem[] {
  const { rightLow, rightHardLow } = input.limits;
  const places: { onset: Ticks; ids: readonly string[]; string: number }[] = [];
  for (const c of handChords(input)) {
    if (c.hand === 'R') places.push({ onset: c.onset, ids: c.ids, string: c.strings[0] as number });
  }
  for (const s of input.planned.passage.sweeps) {
    if (s.hand === 'R') places.push({ onset: s.onset, ids: [s.id], string: Math.min(s.from, s.to) });
  }
  return places
    .filter((p) => p.string < rightLow.value)
    .map((p) => {
      const hard = p.string < rightHardLow.value;
      const limit = hard ? rightHardLow : rightLow;
      return musicProblem(
        'reach',
        hard ? 'error' : 'warning',
        p.onset,
        p.ids,
        { value: stringName(p.string), limit: stringName(limit.value), source: limit.source },
        { hand: HAND_NAMES.R, kind: 'low' },
      );
    });
}

function top({ limits, index }: RuleInput): Problem[] {
  const groups = index.hands.L;
  const runs: Run[] = [];
  for (let i = 0; i + LINE < groups.length; i++) {
    const line = groups.slice(i, i + LINE + 1);
    if (!line.every((g) => highOf(g) >= limits.topOctave.value)) continue;
    const rate = milliRate(LINE, (line[LINE] as { at: number }).at - (line[0] as { at: number }).at);
    if (rate > limits.topOctaveRate.value) runs.push({ from: i, to: i + LINE, worst: rate });
  }
  return joinRuns(runs).map((run) => {
    const inside = groups.slice(run.from, run.to + 1);
    const first = inside[0] as (typeof inside)[number];
    return musicProblem(
      'reach',
      'warning',
      first.onset,
      inside.flatMap((g) => g.strikes.map((s) => s.id)),
      {
        value: perSecond(run.worst),
        limit: perSecond(limits.topOctaveRate.value),
        unit: 'notes/s',
        source: limits.topOctave.source,
      },
      { hand: HAND_NAMES.L, kind: 'top', from: stringName(limits.topOctave.value) },
    );
  });
}

export const rule: Rule = {
  code: 'reach',
  source: 'Freund & Cutler, Extreme Orchestration (2024), Harp; Goss, 100 Orchestration Tips, no. 68',
  check(input) {
    return [...low(input), ...top(input)];
  },
};
