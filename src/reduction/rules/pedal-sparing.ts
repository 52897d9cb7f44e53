/** An inner note that alone asks for a pedal: left out, where the move it saves is worth more than it is. */

import type { Pluck } from '../../music/passage';
import type { Rule } from '../types';
import { ease, rewrite } from './helpers';

/** Proposals for one bar: those that lose least. */
const MOST = 3;
/** What ease there is in a bar with a pedal less; the moves themselves are weighed by the search. */
const EASE = { idiomatic: 30, easy: 90 } as const;

export const rule: Rule = {
  code: 'pedal-sparing',
  source: 'Volpé Bligh, Writing for the Pedal Harp; Berlioz, Grand traité d’instrumentation (1844/55), p. 85',
  find(view) {
    // Every inflection of a letter in the bar, in order of time; the others of its letter say what its pedal is for.
    const byName = new Map<string, Pluck[]>();
    const inflections = new Map<string, Set<number>>();
    for (const p of view.plucks) {
      const { letter, alter } = p.pitch;
      byName.set(`${letter}${alter}`, [...(byName.get(`${letter}${alter}`) ?? []), p]);
      inflections.set(letter, (inflections.get(letter) ?? new Set()).add(alter));
    }
    const inner = (p: Pluck): boolean => {
      const role = view.roles.get(p.id);
      return role !== undefined && !role.top && !role.bass && !role.outer && !role.naming;
    };
    return [...byName.values()]
      .filter((notes) => notes.every(inner))
      .filter(([first]) => {
        const { letter, alter } = (first as Pluck).pitch;
        return alter !== 0 || (inflections.get(letter)?.size ?? 0) > 1 || view.passage.fifths !== 0;
      })
      .map((notes) => ({
        notes,
        loss: notes.reduce((sum, p) => sum + (view.roles.get(p.id)?.worth ?? 0), 0),
      }))
      .sort((a, b) => a.loss - b.loss)
      .slice(0, MOST)
      .map(({ notes }) => {
        const first = notes[0] as Pluck;
        const remove = notes.map((p) => p.id);
        const what = { remove, add: [], ease: ease(0, EASE.idiomatic, EASE.easy) };
        return rewrite(view, rule, first.onset, what, `:${first.id}`);
      });
  },
};
