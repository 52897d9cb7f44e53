/** Three or four real voices: two, and what names the chord. */

import type { Rule } from '../types';
import { ease, rewrite } from './helpers';
import type { Pluck } from '../../music/passage';

export const rule: Rule = {
  code: 'two-voices',
  source: 'Goss, 100 Orchestration Tips, no. 70',
  find(view) {
    const groups = new Map<number, Pluck[]>();
    for (const p of view.plucks) groups.set(p.onset, [...(groups.get(p.onset) ?? []), p]);
    return [...groups.values()].flatMap((notes) => {
      if (notes.length < 4) return [];
      const inner = notes.filter((p) => {
        const role = view.roles.get(p.id);
        return role !== undefined && !role.top && !role.bass && !role.outer && (role.doubled || !role.naming);
      });
      const gone = inner.slice(0, notes.length - 3);
      if (gone.length === 0) return [];
      const loss = gone.reduce((sum, p) => sum + (view.roles.get(p.id)?.worth ?? 0), 0);
      const remove = gone.map((p) => p.id);
      const first = notes[0] as Pluck;
      return [rewrite(view, rule, first.onset, { remove, add: [], ease: ease(0, 0, loss + 5) })];
    });
  },
};
