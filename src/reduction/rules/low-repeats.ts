/** A low note or octave repeated: struck once, left to ring. */

import type { Pluck } from '../../music/passage';
import { midiOf } from '../../music/pitch';
import type { Rule } from '../types';
import { LOW_KEY, LOW_STRING, ease, gapUs, rewrite, stretches, strokes } from './helpers';

/** Low strings repeat 2.5 times a second at best (common practice); at twice that they only buzz. */
const SLOW = 400_000;
const BUZZ = 200_000;

export const rule: Rule = {
  code: 'low-repeats',
  source: 'Goss, 100 Orchestration Tips, no. 65; UBC Impart blog (2013)',
  find(view) {
    const keys = (s: readonly Pluck[]): string => s.map((p) => midiOf(p.pitch)).join();
    return stretches(
      strokes(view, 'L'),
      2,
      (a, b) => keys(a) === keys(b) && b.every((p) => midiOf(p.pitch) < LOW_KEY) && gapUs(view, a, b) < SLOW,
    ).map((run) => {
      const first = run[0] as Pluck[];
      const rest = run.slice(1).flat();
      const last = rest.at(-1) as Pluck;
      const add = first.map((p): Pluck => ({
        ...p,
        ring: true,
        duration: (last.onset + last.duration - p.onset) as Pluck['duration'],
      }));
      const loss = rest.reduce((sum, p) => sum + (view.roles.get(p.id)?.worth ?? 0), 0);
      const buzzes = gapUs(view, first, run[1] as Pluck[]) < BUZZ;
      const remove = [...first, ...rest].map((p) => p.id);
      // What rings is damped where the bass changes.
      const after = view.plucks.find((p) => p.onset > last.onset && midiOf(p.pitch) < LOW_KEY);
      const changes = after !== undefined && first.every((p) => midiOf(p.pitch) !== midiOf(after.pitch));
      const damps = changes ? [{ onset: after.onset, below: LOW_STRING }] : [];
      return rewrite(view, rule, (first[0] as Pluck).onset, {
        remove,
        add,
        damps,
        ease: ease(0, buzzes ? loss + 20 : 0, loss + 40),
      });
    });
  },
};
