/** How far a hand stretches: a tenth is safe, an eleventh the limit; beyond it the chord is rolled or split. */

import type { Problem } from '../../base/problem';
import { stringName } from '../../harp/strings';
import { type HandChord, handChords, spanOf } from '../chords';
import { HAND_NAMES, type Rule, type RuleInput, musicProblem, toSeconds } from '../rule';

/** Microseconds from a chord to the hand's next onset; endless after its last. */
function timeAfter({ index }: RuleInput, chord: HandChord): number {
  const next = chord.place < 0 ? undefined : index.hands[chord.hand][chord.place + 1];
  return next === undefined ? Infinity : next.at - chord.at;
}

function checkChord(input: RuleInput, chord: HandChord): Problem | null {
  const { span, spanSafe, spanRolled, placing } = input.limits;
  const value = spanOf(chord.strings);
  if (value <= spanSafe.value || (chord.rolled && value <= span.value)) return null;
  const detail = {
    hand: HAND_NAMES[chord.hand],
    low: stringName(chord.strings[0] as number),
    high: stringName(chord.strings.at(-1) as number),
  };
  const say = (severity: 'error' | 'warning', kind: string, limit: number, source: string): Problem =>
    musicProblem(
      'span',
      severity,
      chord.onset,
      chord.ids,
      { value, limit, unit: 'strings', source },
      { ...detail, kind },
    );
  if (!chord.rolled) {
    return value > span.value
      ? say('error', 'unrolled', span.value, span.source)
      : say('warning', 'wide', spanSafe.value, spanSafe.source);
  }
  const left = timeAfter(input, chord);
  if (left < placing.value) {
    return musicProblem(
      'span',
      value > spanRolled.value ? 'error' : 'warning',
      chord.onset,
      chord.ids,
      { value: toSeconds(left), limit: toSeconds(placing.value), unit: 's', source: placing.source },
      { ...detail, kind: 'roll-time' },
    );
  }
  return value > spanRolled.value ? say('warning', 'rolled', spanRolled.value, spanRolled.source) : null;
}

export const rule: Rule = {
  code: 'span',
  source: 'Einarsdóttir, harp notation manual, Sibelius Academy; eleventh: common practice',
  check(input) {
    return handChords(input).flatMap((chord) => checkChord(input, chord) ?? []);
  },
};
