/** A quick wide leap into the bass: the low note an octave nearer to the hand. */

import { stringOf } from '../../harp/strings';
import type { Pluck } from '../../music/passage';
import type { Rule } from '../types';
import { ease, gapUs, onsetOf, raised, rewrite, strokes } from './helpers';

export const rule: Rule = {
  code: 'leaps',
  source: 'Harp Legacy Project, typical compositional issues; Goss, 100 Orchestration Tips, no. 70',
  find(view) {
    const all = strokes(view, 'L');
    return all.flatMap((s, i) => {
      const next = all[i + 1];
      const low = s[0] as Pluck;
      if (s.length !== 1 || next === undefined) return [];
      const strings = stringOf((next[0] as Pluck).pitch) - stringOf(low.pitch);
      if (strings <= 14 || gapUs(view, s, next) * 14 >= 450_000 * strings) return [];
      const loss = view.roles.get(low.id)?.worth ?? 0;
      const what = { remove: [low.id], add: [raised(low, 1)], ease: ease(0, 0, loss >> 1) };
      return [rewrite(view, rule, onsetOf(s), what)];
    });
  },
};
