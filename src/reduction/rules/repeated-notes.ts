/** A pitch repeated fast: two strings set to it, in turn. */

import type { Pluck } from '../../music/passage';
import { harpSpellings, midiOf } from '../../music/pitch';
import type { Rule } from '../types';
import { ease, gapUs, rewrite, stretches, strokes } from './helpers';

/** Faster than one string likes to be struck above C4: four a second (common practice). */
const QUICK = 250_000;

export const rule: Rule = {
  code: 'repeated-notes',
  source:
    'Berlioz, Grand traité d’instrumentation (1844/55), p. 88; Einarsdóttir; Goss, 100 Orchestration Tips',
  find(view) {
    return (['R', 'L'] as const).flatMap((hand) =>
      stretches(strokes(view, hand), 3, (a, b) => {
        const [x, y] = [a[0] as Pluck, b[0] as Pluck];
        return (
          a.length === 1 && b.length === 1 && midiOf(x.pitch) === midiOf(y.pitch) && gapUs(view, a, b) < QUICK
        );
      }).flatMap((run) => {
        const notes = run.map((s) => s[0] as Pluck);
        const first = notes[0] as Pluck;
        const ways = harpSpellings(midiOf(first.pitch));
        // D, G and A natural have one string each.
        const own = ways.find((w) => w.letter === first.pitch.letter) ?? ways[0];
        const other = ways.find((w) => w !== own);
        if (own === undefined || other === undefined) return [];
        const add = notes.map((p, i): Pluck => ({ ...p, pitch: i % 2 === 0 ? own : other, fixed: true }));
        const ids = notes.map((p) => p.id);
        return [rewrite(view, rule, first.onset, { remove: ids, add, ease: ease(10, 20, 20) }, `.${hand}`)];
      }),
    );
  },
};
