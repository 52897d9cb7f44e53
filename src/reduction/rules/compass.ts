/** Notes beyond the strings of the harp are played in the nearest octave that it has. */

import { midiOf } from '../../music/pitch';
import { TOP_STRING, stringOf } from '../../harp/strings';
import type { Rule } from '../types';
import { ease, raised, rewrite } from './helpers';

export const rule: Rule = {
  code: 'compass',
  source: 'Wikipedia, "Pedal harp"',
  find(view) {
    return view.plucks.flatMap((p) => {
      // The lowest strings have no pedals: a note there that they are not tuned to goes up too.
      const s = stringOf(p.pitch);
      const up = s < 0 || (view.tuning.has(s) && p.pitch.alter !== view.tuning.get(s));
      if (!up && s <= TOP_STRING && midiOf(p.pitch) <= 103) return [];
      const add = [raised(p, up ? 1 : -1)];
      return [rewrite(view, rule, p.onset, { remove: [p.id], add, ease: ease(900, 900, 900) }, `:${p.id}`)];
    });
  },
};
