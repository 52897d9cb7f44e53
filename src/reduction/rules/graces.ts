/** Small notes that run up into a chord: one chord with them, rolled. */

import { stringOf } from '../../harp/strings';
import type { Pluck } from '../../music/passage';
import { midiOf } from '../../music/pitch';
import type { Rule } from '../types';
import { ease, onsetOf, rewrite, strokes } from './helpers';

/** Length that small notes are read with: a 32nd. */
const SMALL = 420;
/** Fingers of a hand, and the widest roll of one. */
const [FINGERS, WIDE] = [4, 16];

export const rule: Rule = {
  code: 'graces',
  source: 'Einarsdóttir, harp notation manual, Sibelius Academy; common practice',
  find(view) {
    return (['R', 'L'] as const).flatMap((hand) => {
      const all = strokes(view, hand);
      return all.flatMap((main, i) => {
        const small: Pluck[] = [];
        for (let k = i - 1; k >= 0 && small.length < FINGERS; k--) {
          const s = all[k] as Pluck[];
          const p = s[0] as Pluck;
          const follows = all[k + 1] as Pluck[];
          if (s.length !== 1 || p.duration !== SMALL || onsetOf(follows) - p.onset !== SMALL) break;
          if (midiOf(p.pitch) >= midiOf((follows[0] as Pluck).pitch)) break;
          small.unshift(p);
        }
        const low = small[0];
        if (low === undefined || main.every((p) => p.duration === SMALL)) return [];
        const chord = [...small.map((p): Pluck => ({ ...p, onset: onsetOf(main) })), ...main];
        // Neighbours would blur in a roll: thirds and more.
        const places = chord.map((p) => stringOf(p.pitch));
        if (places.some((s, k) => k > 0 && s - (places[k - 1] as number) < 2)) return [];
        if (chord.length > FINGERS || (places.at(-1) as number) - (places[0] as number) > WIDE) return [];
        const loss = small.reduce((sum, p) => sum + (view.roles.get(p.id)?.worth ?? 0), 0);
        const rolls = [{ id: `${low.id}.roll`, plucks: chord.map((p) => p.id), direction: 'up' as const }];
        const add = chord
          .slice(0, small.length)
          .map((p): Pluck => ({ ...p, duration: (main[0] as Pluck).duration }));
        const remove = small.map((p) => p.id);
        return [
          rewrite(
            view,
            rule,
            low.onset,
            { remove, add, rolls, ease: ease(0, loss + 5, loss + 10) },
            `.${hand}`,
          ),
        ];
      });
    });
  },
};
