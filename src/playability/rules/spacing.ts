/** Gaps inside three- and four-note chords: the largest belongs under the thumb, the lower fingers lie close. */

import type { Problem } from '../../base/problem';
import { stringName } from '../../harp/strings';
import { type HandChord, handChords, spanOf } from '../chords';
import type { Limit } from '../limits';
import { HAND_NAMES, type Rule, type RuleInput, musicProblem } from '../rule';

interface Gap {
  readonly low: number;
  readonly high: number;
  readonly limit: Limit;
  readonly fingers: string;
}

/** The gaps to judge, fingers counted from the thumb on top. */
function gapsOf({ limits }: RuleInput, s: readonly number[]): Gap[] {
  const pair = (i: number, limit: Limit, fingers: string): Gap => ({
    low: s[i] as number,
    high: s[i + 1] as number,
    limit,
    fingers,
  });
  if (s.length === 3)
    return [pair(0, limits.lowestOfThree, 'lowest two'), pair(1, limits.gapThumb, 'thumb and second finger')];
  if (s.length !== 4) return [];
  const lowest = (s[1] as number) - (s[0] as number);
  return [
    // A fifth is still a chord that harpists play, with a remark; more than a fifth breaks the rule of the chord.
    lowest > limits.lowestOfFour.value
      ? pair(0, limits.lowestOfFour, 'lowest two')
      : pair(0, limits.gapThirdFourth, 'third and fourth finger'),
    pair(1, limits.gapSecondThird, 'second and third finger'),
    pair(2, limits.gapThumb, 'thumb and second finger'),
  ];
}

/** The gap that passes its limit by most; the lowest of equals. */
function worstGap(gaps: readonly Gap[]): Gap | null {
  const excess = (g: Gap): number => g.high - g.low - g.limit.value;
  let worst: Gap | null = null;
  for (const g of gaps) if (excess(g) > 0 && (worst === null || excess(g) > excess(worst))) worst = g;
  return worst;
}

function checkChord(input: RuleInput, chord: HandChord): Problem | null {
  // A roll beyond the hand's span is not placed at once: its gaps are not the hand's.
  if (chord.rolled && spanOf(chord.strings) > input.limits.span.value) return null;
  const gap = worstGap(gapsOf(input, chord.strings));
  if (gap === null) return null;
  return musicProblem(
    'spacing',
    'warning',
    chord.onset,
    chord.ids,
    { value: gap.high - gap.low, limit: gap.limit.value, unit: 'strings', source: gap.limit.source },
    {
      hand: HAND_NAMES[chord.hand],
      notes: chord.strings.length,
      fingers: gap.fingers,
      low: stringName(gap.low),
      high: stringName(gap.high),
    },
  );
}

export const rule: Rule = {
  code: 'spacing',
  source: 'common practice; Freund & Cutler, Extreme Orchestration (2024), Harp',
  check(input) {
    return handChords(input).flatMap((chord) => checkChord(input, chord) ?? []);
  },
};
