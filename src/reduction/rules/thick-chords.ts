/** Over four notes in a hand: shared with the other hand where it has room, else doublings left out. */

import { FINGERS_PER_HAND, SPANS } from '../../harp/hands';
import { stringOf } from '../../harp/strings';
import type { Hand, Pluck } from '../../music/passage';
import type { Rewrite, Rule } from '../types';
import { ease, handOf, onsetOf, rewrite, strokes } from './helpers';

const MOST = FINGERS_PER_HAND.count;

/** Whether one hand strikes these together. */
const fits = (notes: readonly Pluck[]): boolean => {
  const strings = notes.map((p) => stringOf(p.pitch));
  return notes.length <= MOST && Math.max(...strings) - Math.min(...strings) <= SPANS.limit.strings;
};

export const rule: Rule = {
  code: 'thick-chords',
  source:
    'Rimsky-Korsakov, Principles of Orchestration (1922), Harp; Freund & Cutler, Extreme Orchestration (2024), Harp; Volpé Bligh, Writing for the Pedal Harp',
  find(view) {
    return (['R', 'L'] as const).flatMap((hand) =>
      strokes(view, hand).flatMap((stroke): Rewrite[] => {
        const over = stroke.length - MOST;
        if (over <= 0) return [];
        const at = onsetOf(stroke);
        const other: Hand = hand === 'R' ? 'L' : 'R';
        const theirs = view.plucks.filter((p) => p.onset === at && handOf(p) === other);
        // What lies nearest to the other hand goes over.
        const near = hand === 'R' ? stroke.slice(0, over) : stroke.slice(-over);
        const out: Rewrite[] = [];
        if (fits([...theirs, ...near])) {
          const add = near.map((p): Pluck => ({ ...p, hand: other }));
          const what = { remove: near.map((p) => p.id), add, ease: ease(2, 2, 0) };
          out.push(rewrite(view, rule, at, { ...what, detail: { as: 'shared' } }, `.${hand}s`));
        }
        // Bass, top, third and seventh stay as long as anything else is left.
        const role = (p: Pluck) => view.roles.get(p.id);
        const spare = stroke
          .filter((p) => role(p)?.top !== true && role(p)?.bass !== true)
          .filter((p) => role(p)?.doubled === true || role(p)?.naming !== true)
          .sort((a, b) => (role(a)?.worth ?? 0) - (role(b)?.worth ?? 0))
          .slice(0, over);
        if (spare.length === over) {
          const what = { remove: spare.map((p) => p.id), add: [], ease: ease(1, 2, 8) };
          out.push(rewrite(view, rule, at, { ...what, detail: { as: 'thinned' } }, `.${hand}`));
        }
        return out;
      }),
    );
  },
};
