/** Étouffés: each note is damped at once, which takes time and lies best in the left hand. */

import { groupsOf, tooFast } from '../rates';
import { type Rule, musicProblem } from '../rule';

const SOURCE = 'Canton & Overlach, Composing for Harp';

export const rule: Rule = {
  code: 'etouffe',
  source: SOURCE,
  check(input) {
    const right = groupsOf(input, 'R', 'etouffe');
    const first = right[0];
    const out = [
      ...tooFast('etouffe', 'L', groupsOf(input, 'L', 'etouffe'), input.limits.etouffeRate),
      ...tooFast('etouffe', 'R', right, input.limits.etouffeRate),
    ];
    if (first !== undefined) {
      const ids = right.flatMap((g) => g.strikes.map((s) => s.id));
      const found = { value: 'right hand', limit: 'left hand', source: SOURCE };
      out.push(musicProblem('etouffe', 'warning', first.onset, ids, found, { kind: 'hand' }));
    }
    return out;
  },
};
