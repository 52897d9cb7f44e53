/** Fast notes doubled in octaves: single. */

import type { Pluck } from '../../music/passage';
import { midiOf } from '../../music/pitch';
import type { Rule } from '../types';
import { ease, gapUs, rewrite, stretches, strokes } from './helpers';

const QUICK = 170_000;

export const rule: Rule = {
  code: 'octaves-singled',
  source: 'Berlioz, Grand traité d’instrumentation (1844/55), p. 88',
  find(view) {
    const isOctave = (s: readonly Pluck[]): boolean =>
      s.length === 2 && midiOf((s[1] as Pluck).pitch) - midiOf((s[0] as Pluck).pitch) === 12;
    return (['R', 'L'] as const).flatMap((hand) =>
      stretches(
        strokes(view, hand),
        3,
        (a, b) => isOctave(a) && isOctave(b) && gapUs(view, a, b) < QUICK,
      ).map((run) => {
        // The right hand keeps its top, the left its bottom.
        const gone = run
          .map((s) => (hand === 'R' ? s[0] : s[1]) as Pluck)
          .filter((p) => {
            const role = view.roles.get(p.id);
            return role?.top !== true && role?.bass !== true;
          });
        const remove = gone.map((p) => p.id);
        const n = gone.length;
        const loss = gone.reduce((sum, p) => sum + (view.roles.get(p.id)?.worth ?? 0), 0);
        const first = (run[0] as Pluck[])[0] as Pluck;
        return rewrite(
          view,
          rule,
          first.onset,
          { remove, add: [], ease: ease(0, loss + 2 * n, loss + 4 * n) },
          `.${hand}`,
        );
      }),
    );
  },
};
