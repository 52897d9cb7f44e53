/** Chords inside the span that still strain: the second finger beside the thumb in a tenth, second to fourth beyond a sixth. */

import { STRAIN } from '../../harp/hands';
import { stringName } from '../../harp/strings';
import { handChords, spanOf } from '../chords';
import { HAND_NAMES, type Rule, musicProblem } from '../rule';

export const rule: Rule = {
  code: 'strain',
  source: STRAIN.source,
  check(input) {
    const { strain, gapSecondFourth, gapThirdFourth } = input.limits;
    return handChords(input).flatMap((chord) => {
      const s = chord.strings;
      if (chord.rolled || s.length < 3 || s.length > 4) return [];
      const [top, second] = [s.at(-1) as number, s.at(-2) as number];
      const detail = { hand: HAND_NAMES[chord.hand], low: stringName(s[0] as number), high: stringName(top) };
      const say = (value: number, limit: number, source: string, kind: string) =>
        musicProblem(
          'strain',
          'warning',
          chord.onset,
          chord.ids,
          { value, limit, unit: 'strings', source },
          { ...detail, kind },
        );
      if (top - second === 1 && spanOf(s) >= strain.value)
        return [say(spanOf(s), strain.value, strain.source, 'thumb')];
      // Where two neighbours already stand too far apart, the rule of spacing speaks.
      const near = s.slice(1, 3).every((x, i) => x - (s[i] as number) <= gapThirdFourth.value);
      if (s.length === 4 && near && second - (s[0] as number) > gapSecondFourth.value)
        return [say(second - (s[0] as number), gapSecondFourth.value, gapSecondFourth.source, 'fourth')];
      return [];
    });
  },
};
