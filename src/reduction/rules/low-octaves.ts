/** A low octave struck again and again: whole the first time, left to ring, then single. */

import type { Pluck } from '../../music/passage';
import { midiOf } from '../../music/pitch';
import type { Rule } from '../types';
import { LOW_KEY, ease, gapUs, rewrite, stretches, strokes } from './helpers';

/** Struck again after longer than this, the octave has faded. */
const FADED = 800_000;

export const rule: Rule = {
  code: 'low-octaves',
  source:
    'Goss, 100 Orchestration Tips, no. 65; UBC Impart blog (2013); Berlioz, Grand traité (1844/55), p. 88',
  find(view) {
    const keys = (s: readonly Pluck[]): string => s.map((p) => midiOf(p.pitch)).join();
    const isOctave = (s: readonly Pluck[]): boolean =>
      s.length === 2 &&
      midiOf((s[1] as Pluck).pitch) - midiOf((s[0] as Pluck).pitch) === 12 &&
      midiOf((s[0] as Pluck).pitch) < LOW_KEY;
    return stretches(
      strokes(view, 'L'),
      2,
      (a, b) => isOctave(b) && keys(a) === keys(b) && gapUs(view, a, b) < FADED,
    ).map((run) => {
      const first = run[0] as Pluck[];
      const upper = run.slice(1).map((s) => s[1] as Pluck);
      const loss = upper.reduce((sum, p) => sum + (view.roles.get(p.id)?.worth ?? 0), 0);
      const add = first.map((p): Pluck => ({ ...p, ring: true }));
      const remove = [...add, ...upper].map((p) => p.id);
      const n = upper.length;
      return rewrite(view, rule, (first[0] as Pluck).onset, {
        remove,
        add,
        ease: ease(0, loss + 4 * n, loss + 8 * n),
      });
    });
  },
};
