/** The biggest gap low in a right hand's chord: re-voiced, so that it lies under the thumb. */

import { stringOf } from '../../harp/strings';
import type { Pluck } from '../../music/passage';
import { midiOf } from '../../music/pitch';
import type { Rule } from '../types';
import { ease, onsetOf, raised, rewrite, strokes } from './helpers';

export const rule: Rule = {
  code: 'low-gap',
  source: 'Freund & Cutler, Extreme Orchestration (2024), Harp; Harp Legacy Project',
  find(view) {
    return strokes(view, 'R').flatMap((s) => {
      if (s.length !== 4) return [];
      const [a, b, c, d] = s.map((p) => stringOf(p.pitch)) as [number, number, number, number];
      const low = s[0] as Pluck;
      // The lowest two more than a fifth apart, and room for the lowest an octave up under the top.
      if (
        b - a <= 4 ||
        b - a <= d - c ||
        a + 7 >= d ||
        s.some((p) => midiOf(p.pitch) === midiOf(low.pitch) + 12)
      )
        return [];
      const role = view.roles.get(low.id);
      if (role?.bass === true || a + 7 === b || a + 7 === c) return [];
      const what = {
        remove: [low.id],
        add: [raised(low, 1)],
        ease: ease(0, (role?.worth ?? 0) >> 1, role?.worth ?? 0),
      };
      return [rewrite(view, rule, onsetOf(s), what)];
    });
  },
};
