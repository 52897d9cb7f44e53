/** A chord repeated fast in one hand: struck once, then broken over what still rings. */

import type { Pluck } from '../../music/passage';
import { midiOf } from '../../music/pitch';
import type { Rule } from '../types';
import { ease, gapUs, rewrite, stretches, strokes } from './helpers';

/** One hand strikes two and a half chords a second at best (common practice); somewhat slower where it is to be easy. */
const QUICK = 330_000;
const EASY = 480_000;
/** The whole chord again after so many strokes. */
const CYCLE = 4;

export const rule: Rule = {
  code: 'repeated-chords',
  source: 'Harp Legacy Project, typical compositional issues; UBC Impart blog (2013); common practice',
  find(view) {
    const keys = (s: readonly Pluck[]): string => s.map((p) => midiOf(p.pitch)).join();
    return (['R', 'L'] as const).flatMap((hand) =>
      stretches(
        strokes(view, hand),
        3,
        (a, b) => b.length >= 3 && keys(a) === keys(b) && gapUs(view, a, b) < EASY,
      ).flatMap((run) => {
        const first = run[0] as Pluck[];
        const remove: string[] = [];
        let loss = 0;
        run.forEach((stroke, i) => {
          const place = i % CYCLE;
          if (place === 0) return;
          // What the ear follows stays; of the rest one string a stroke, from low to high.
          const kept = stroke.filter((p) => {
            const role = view.roles.get(p.id);
            return role?.top === true || role?.bass === true;
          });
          const inner = stroke.filter((p) => !kept.includes(p));
          const one = inner[(place - 1) % Math.max(1, inner.length)];
          for (const p of inner) {
            if (p === one) continue;
            remove.push(p.id);
            loss += view.roles.get(p.id)?.worth ?? 0;
          }
        });
        if (remove.length === 0) return [];
        const add = run
          .filter((_, i) => i % CYCLE === 0)
          .flat()
          .map((p): Pluck => ({ ...p, ring: true }));
        const quick = gapUs(view, first, run[1] as Pluck[]) < QUICK;
        const what = {
          remove: [...remove, ...add.map((p) => p.id)],
          add,
          ease: ease(0, quick ? loss + 4 * run.length : 0, loss + 8 * run.length),
        };
        return [rewrite(view, rule, (first[0] as Pluck).onset, what, `.${hand}`)];
      }),
    );
  },
};
