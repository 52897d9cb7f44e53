/** A sustaining pedal that is changed: the low strings are damped where the bass changes with it. */

import { stringOf } from '../../harp/strings';
import type { Rule } from '../types';
import { LOW_STRING, ease, rewrite } from './helpers';

export const rule: Rule = {
  code: 'pedal-damps',
  source: 'Einarsdóttir, harp notation manual; Rimsky-Korsakov, Principles of Orchestration (1922), Harp',
  find(view) {
    const end = view.bar.start + view.bar.length;
    return view.sustain.flatMap(({ from, to }) => {
      if (to < view.bar.start || to >= end) return [];
      const before = view.passage.plucks.filter(
        (p) => p.onset >= from && p.onset < to && stringOf(p.pitch) < LOW_STRING,
      );
      const after = view.plucks.find((p) => p.onset >= to && stringOf(p.pitch) < LOW_STRING);
      if (before.length === 0 || after === undefined) return [];
      if (stringOf(after.pitch) === stringOf((before.at(-1) as (typeof before)[number]).pitch)) return [];
      const damps = [{ onset: after.onset, below: LOW_STRING }];
      return [rewrite(view, rule, after.onset, { remove: [], add: [], damps, ease: ease(1, 1, 1) })];
    });
  },
};
