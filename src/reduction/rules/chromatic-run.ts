/** A fast chromatic run: the notes of a set seven-note scale, the inflected ones between them left out. */

import { signature } from '../../harmony/key';
import type { Pluck } from '../../music/passage';
import { midiOf, pitchClass, LETTERS } from '../../music/pitch';
import type { Rule } from '../types';
import { ease, gapUs, rewrite, stretches, strokes } from './helpers';

const QUICK = 200_000;
const LEAST = 6;

export const rule: Rule = {
  code: 'chromatic-run',
  source: 'Berlioz, Grand traité d’instrumentation (1844/55), p. 85',
  find(view) {
    const key = signature(view.passage.fifths);
    const scale = new Set(LETTERS.map((letter) => pitchClass(letter, key[letter])));
    const top = (s: readonly Pluck[]): number => midiOf((s.at(-1) as Pluck).pitch);
    return (['R', 'L'] as const).flatMap((hand) =>
      stretches(
        strokes(view, hand),
        LEAST,
        (a, b) => Math.abs(top(b) - top(a)) === 1 && gapUs(view, a, b) < QUICK,
      ).flatMap((run) => {
        const line = run.map((s) => s.at(-1) as Pluck);
        const between = line
          .slice(1, -1)
          .filter(
            (p) => !scale.has(midiOf(p.pitch) % 12) && !view.chordAt(p.onset).includes(midiOf(p.pitch) % 12),
          );
        if (between.length < 2) return [];
        const loss = between.reduce((sum, p) => sum + (view.roles.get(p.id)?.worth ?? 0), 0);
        const remove = between.map((p) => p.id);
        const at = (line[0] as Pluck).onset;
        return [rewrite(view, rule, at, { remove, add: [], ease: ease(0, 0, loss + 40) }, `.${hand}`)];
      }),
    );
  },
};
