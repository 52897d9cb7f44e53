/** A hand has four fingers on the strings: the fifth is not used. Eight notes at once at most. */

import { NOTES_AT_ONCE } from '../../harp/hands';
import { handChords } from '../chords';
import { HAND_NAMES, type Rule, musicProblem } from '../rule';

export const rule: Rule = {
  code: 'four-fingers',
  source: NOTES_AT_ONCE.source,
  check(input) {
    const { value: limit, source } = input.limits.fingers;
    return handChords(input)
      .filter((c) => c.strings.length > limit)
      .map((c) =>
        musicProblem(
          'four-fingers',
          'error',
          c.onset,
          c.ids,
          { value: c.strings.length, limit, unit: 'strings', source },
          { hand: HAND_NAMES[c.hand] },
        ),
      );
  },
};
