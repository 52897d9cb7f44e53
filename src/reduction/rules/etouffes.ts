/** A staccato bass: étouffés of the left hand, where there is time to damp. */

import type { Pluck } from '../../music/passage';
import { midiOf } from '../../music/pitch';
import type { Rule } from '../types';
import { ease, gapUs, onsetOf, rewrite, strokes } from './helpers';

/** Three étouffés a second (Canton & Overlach). */
const SLOW = 333_334;
const LEAST = 2;

export const rule: Rule = {
  code: 'etouffes',
  source: 'Canton & Overlach, Composing for Harp',
  find(view) {
    const all = strokes(view, 'L');
    const short = all.filter((s, i) => {
      const next = all[i + 1];
      const dry = s.length <= 2 && s.every((p) => view.staccato.has(p.id) && midiOf(p.pitch) < 60);
      return dry && (next === undefined || gapUs(view, s, next) >= SLOW);
    });
    const first = short[0];
    // One dry note in a bass that rings is a stumble: they come in twos and more, and make the bar.
    if (first === undefined || short.length < LEAST || 2 * short.length < all.length) return [];
    const add = short.flat().map((p): Pluck => ({ ...p, technique: 'etouffe' }));
    const remove = add.map((p) => p.id);
    return [rewrite(view, rule, onsetOf(first), { remove, add, ease: ease(2, 4, 2) })];
  },
};
