/** Two inflections of one letter at one instant: one is respelt; where neither can be, the left hand's goes. */

import type { Pluck } from '../../music/passage';
import { harpSpellings, midiOf } from '../../music/pitch';
import type { Rewrite, Rule } from '../types';
import { ease, handOf, rewrite } from './helpers';

export const rule: Rule = {
  code: 'two-inflections',
  source: 'Berlioz, Grand traité d’instrumentation (1844/55), p. 85; Canton & Overlach, Composing for Harp',
  find(view) {
    const stuck: Pluck[] = [];
    const anews = view.plucks.flatMap((p) => {
      const others = view.plucks.filter((q) => q.onset === p.onset && q !== p);
      const clash = others.find((q) => q.pitch.letter === p.pitch.letter && q.pitch.alter !== p.pitch.alter);
      // The lower of the two is respelt; the higher where the lower has no other string.
      if (clash === undefined || midiOf(clash.pitch) < midiOf(p.pitch)) return [];
      const fits = (note: Pluck): Pluck | null => {
        const taken = new Map(
          [...others, p].filter((q) => q !== note).map((q) => [q.pitch.letter, q.pitch.alter]),
        );
        const way = harpSpellings(midiOf(note.pitch)).find(
          (w) => w.letter !== note.pitch.letter && (taken.get(w.letter) ?? w.alter) === w.alter,
        );
        return way === undefined ? null : { ...note, pitch: way };
      };
      const anew = fits(p) ?? fits(clash);
      if (anew === null) stuck.push(handOf(p) === 'L' ? p : clash);
      return anew === null ? [] : [anew];
    });
    // All of a bar at once; a note that clashes twice is respelt once.
    const add = [...new Map(anews.map((p) => [p.id, p])).values()];
    const out: Rewrite[] = [];
    const first = add[0];
    if (first !== undefined) {
      const remove = add.map((p) => p.id);
      out.push(rewrite(view, rule, first.onset, { remove, add, ease: ease(1, 1, 1) }));
    }
    for (const p of stuck) {
      const what = { remove: [p.id], add: [], ease: ease(1, 1, 1), detail: { as: 'dropped' } };
      out.push(rewrite(view, rule, p.onset, what, `:${p.id}`));
    }
    return out;
  },
};
