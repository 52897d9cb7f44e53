/** A span over a tenth in one hand: split with the other hand where it has room, else rolled. */

import { FINGERS_PER_HAND, SPANS } from '../../harp/hands';
import { stringOf } from '../../harp/strings';
import type { Hand, Pluck } from '../../music/passage';
import type { Rewrite, Rule } from '../types';
import { ease, handOf, onsetOf, rewrite, strokes } from './helpers';

const spanOf = (notes: readonly Pluck[]): number => {
  const strings = notes.map((p) => stringOf(p.pitch));
  return Math.max(...strings) - Math.min(...strings);
};

export const rule: Rule = {
  code: 'wide-chords',
  source:
    'Einarsdóttir, harp notation manual, Sibelius Academy; Harp Legacy Project, typical compositional issues',
  find(view) {
    const rolled = new Set(view.passage.rolls.flatMap((r) => r.plucks));
    return (['R', 'L'] as const).flatMap((hand) =>
      strokes(view, hand).flatMap((stroke): Rewrite[] => {
        const wide = stroke.length > 1 && spanOf(stroke) > SPANS.safe.strings;
        if (!wide || stroke.length > FINGERS_PER_HAND.count || stroke.some((p) => rolled.has(p.id)))
          return [];
        const at = onsetOf(stroke);
        const other: Hand = hand === 'R' ? 'L' : 'R';
        const theirs = view.plucks.filter((p) => p.onset === at && handOf(p) === other);
        const edge = (hand === 'R' ? stroke[0] : stroke.at(-1)) as Pluck;
        const joined = [...theirs, edge];
        const out: Rewrite[] = [];
        if (joined.length <= FINGERS_PER_HAND.count && spanOf(joined) <= SPANS.safe.strings) {
          const what = { remove: [edge.id], add: [{ ...edge, hand: other }], ease: ease(2, 2, 2) };
          out.push(rewrite(view, rule, at, { ...what, detail: { as: 'split' } }, `.${hand}s`));
        }
        if (stroke.length > 2) {
          const plucks = stroke.map((p) => p.id);
          const rolls = [{ id: `${plucks[0]}.wide`, plucks, direction: 'up' as const }];
          // The edge stands for the chord, so that it is not split and rolled too.
          const what = { remove: [edge.id], add: [edge], rolls, ease: ease(1, 2, 4) };
          out.push(rewrite(view, rule, at, { ...what, detail: { as: 'rolled' } }, `.${hand}`));
        }
        return out;
      }),
    );
  },
};
