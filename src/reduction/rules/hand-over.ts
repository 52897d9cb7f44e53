/** Over four notes in one direction before a turn: the hands take threes or fours in turn. */

import type { Hand, Pluck } from '../../music/passage';
import { midiOf } from '../../music/pitch';
import type { Rule } from '../types';
import { ease, gapUs, rewrite, stretches, strokes } from './helpers';

/** Slower lines need no second hand: seven notes a second in one (common practice). */
const QUICK = 143_000;

export const rule: Rule = {
  code: 'hand-over',
  source: 'UBC Impart blog (2013); Harp Legacy Project; Goss, 100 Orchestration Tips, no. 70',
  find(view) {
    return (['R', 'L'] as const).flatMap((hand) => {
      const all = strokes(view, hand);
      const key = (s: readonly Pluck[]): number => midiOf((s[0] as Pluck).pitch);
      let way = 0;
      return stretches(all, 5, (a, b, i) => {
        const step = Math.sign(key(b) - key(a));
        const before = all[i - 2];
        way = before === undefined ? step : Math.sign(key(a) - key(before)) || step;
        return a.length === 1 && b.length === 1 && step !== 0 && step === way && gapUs(view, a, b) < QUICK;
      }).map((run) => {
        const notes = run.map((s) => s[0] as Pluck);
        const size = notes.length % 4 !== 0 && notes.length % 3 === 0 ? 3 : 4;
        const other: Hand = hand === 'R' ? 'L' : 'R';
        const add = notes.map((p, i): Pluck => ({
          ...p,
          hand: Math.floor(i / size) % 2 === 0 ? hand : other,
        }));
        const ids = notes.map((p) => p.id);
        return rewrite(
          view,
          rule,
          (notes[0] as Pluck).onset,
          { remove: ids, add, ease: ease(3, 6, 6) },
          `.${hand}`,
        );
      });
    });
  },
};
