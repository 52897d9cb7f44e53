/** A trill: the hands in turn, a string each. */

import type { Hand, Pluck } from '../../music/passage';
import { midiOf } from '../../music/pitch';
import type { Rule } from '../types';
import { ease, gapUs, rewrite, stretches, strokes } from './helpers';

const QUICK = 140_000;

export const rule: Rule = {
  code: 'trill',
  source: 'Berlioz, Grand traité d’instrumentation (1844/55), p. 88; Einarsdóttir, harp notation manual',
  find(view) {
    const key = (s: readonly Pluck[] | undefined): number =>
      s === undefined ? -1 : midiOf((s[0] as Pluck).pitch);
    return (['R', 'L'] as const).flatMap((hand) => {
      const all = strokes(view, hand);
      return stretches(all, 4, (a, b, i) => {
        const near = Math.abs(key(a) - key(b));
        const two = all[i - 2];
        const back =
          two === undefined || two.length !== 1 || key(two) === key(b) || Math.abs(key(two) - key(a)) > 2;
        return (
          a.length === 1 && b.length === 1 && near >= 1 && near <= 2 && back && gapUs(view, a, b) < QUICK
        );
      }).map((run) => {
        const other: Hand = hand === 'R' ? 'L' : 'R';
        const notes = run.map((s) => s[0] as Pluck);
        const lower = Math.min(...notes.map((p) => midiOf(p.pitch)));
        const add = notes.map((p): Pluck => ({ ...p, hand: midiOf(p.pitch) === lower ? other : hand }));
        const ids = notes.map((p) => p.id);
        return rewrite(
          view,
          rule,
          (notes[0] as Pluck).onset,
          { remove: ids, add, ease: ease(4, 8, 8) },
          `.${hand}`,
        );
      });
    });
  },
};
