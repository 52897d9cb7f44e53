/** A pitch repeated fast: two strings set to it, in turn. */

import type { Hand, Pluck } from '../../music/passage';
import { harpSpellings, midiOf } from '../../music/pitch';
import type { BarView, Rewrite, Rule } from '../types';
import { ease, gapUs, raised, rewrite, stretches, strokes } from './helpers';

/** Faster than one string likes to be struck above C4: four a second (common practice). */
const QUICK = 250_000;

/** D, G and A natural have one string each: every second stroke an octave away, or left out. */
function oneString(view: BarView, notes: readonly Pluck[], hand: Hand): Rewrite[] {
  const first = notes[0] as Pluck;
  const seconds = notes.filter((_, i) => i % 2 === 1);
  const remove = seconds.map((p) => p.id);
  const loss = seconds.reduce((sum, p) => sum + (view.roles.get(p.id)?.worth ?? 0), 0);
  const add = seconds.map((p) => raised(p, hand === 'R' ? -1 : 1));
  return [
    rewrite(
      view,
      rule,
      first.onset,
      { remove, add, ease: ease(0, 0, loss >> 1), detail: { as: 'octave' } },
      `.${hand}o`,
    ),
    rewrite(
      view,
      rule,
      first.onset,
      { remove, add: [], ease: ease(0, 0, loss), detail: { as: 'slower' } },
      `.${hand}`,
    ),
  ];
}

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
        const own = ways.find((w) => w.letter === first.pitch.letter) ?? ways[0];
        const other = ways.find((w) => w !== own);
        if (own === undefined) return [];
        if (other === undefined) return oneString(view, notes, hand);
        const add = notes.map((p, i): Pluck => ({ ...p, pitch: i % 2 === 0 ? own : other, fixed: true }));
        const ids = notes.map((p) => p.id);
        return [rewrite(view, rule, first.onset, { remove: ids, add, ease: ease(10, 20, 20) }, `.${hand}`)];
      }),
    );
  },
};
