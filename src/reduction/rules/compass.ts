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
      // The two lowest strings have no pedals: an inflected note there goes up too.
      const s = stringOf(p.pitch);
      const up = s < 0 || (s < 2 && p.pitch.alter !== 0);
      if (!up && s <= TOP_STRING && midiOf(p.pitch) <= 103) return [];
      const add = [raised(p, up ? 1 : -1)];
      return [rewrite(view, rule, p.onset, { remove: [p.id], add, ease: ease(900, 900, 900) }, `:${p.id}`)];
    });
  },
};
