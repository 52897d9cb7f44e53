/** Close chords in the bass blur: below about C3 octave, fifth or tenth. */

import type { Problem } from '../../base/problem';
import { stringName } from '../../harp/strings';
import { type Group, stringsOf } from '../passage-index';
import { type Rule, idsOf, musicProblem } from '../rule';

/** A third: two strings may stand no closer. */
const THIRD = 2;
/** Of three strings and more: a fourth. */
const FOURTH = 3;

/** The lowest two neighbouring strings below the limit that stand too close. */
function closePair(g: Group, below: number): readonly [number, number] | null {
  const low = stringsOf(g.strikes).filter((s) => s < below);
  const close = low.length >= 3 ? FOURTH : THIRD;
  for (let i = 1; i < low.length; i++) {
    const [a, b] = [low[i - 1] as number, low[i] as number];
    if (b - a <= close) return [a, b];
  }
  return null;
}

export const rule: Rule = {
  code: 'blur',
  source:
    'UBC Impart blog (2013); Rimsky-Korsakov, Principles of Orchestration (1922), Harp; common practice',
  check({ index, limits }) {
    const { bassBelow, bassOpen } = limits;
    return index.onsets.flatMap((g): Problem[] => {
      const pair = closePair(g, bassBelow.value);
      if (pair === null) return [];
      const [low, high] = pair;
      const found = { value: high - low, limit: bassOpen.value, unit: 'strings', source: bassOpen.source };
      const ids = idsOf(g.strikes.filter((s) => s.string < bassBelow.value));
      const detail = { low: stringName(low), high: stringName(high), below: stringName(bassBelow.value) };
      return [musicProblem('blur', 'warning', g.onset, ids, found, detail)];
    });
  },
};
