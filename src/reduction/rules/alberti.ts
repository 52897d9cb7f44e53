/** An Alberti bass becomes a spread arpeggio: low, middle, high, and back, in one placed group. */

import type { Pluck } from '../../music/passage';
import { midiOf } from '../../music/pitch';
import type { Rule } from '../types';
import { ease, gapUs, rewrite, strokes } from './helpers';

/** Turning back and forth in one hand is left alone when slower than this from note to note. */
const QUICK = 260_000;

export const rule: Rule = {
  code: 'alberti',
  source: 'Harp Legacy Project, typical compositional issues; UBC Impart blog (2013)',
  find(view) {
    const all = strokes(view, 'L');
    const out = [];
    for (let i = 0; i + 3 < all.length; i++) {
      const four = all.slice(i, i + 4);
      if (four.some((s) => s.length !== 1)) continue;
      const notes = four.map((s) => s[0] as Pluck);
      const [low, high, mid, again] = notes.map((p) => midiOf(p.pitch)) as [number, number, number, number];
      if (!(low < mid && mid < high && again === high)) continue;
      if (gapUs(view, four[0] as Pluck[], four[1] as Pluck[]) >= QUICK) continue;
      const [a, b, c, d] = notes as [Pluck, Pluck, Pluck, Pluck];
      // The low note stays; the middle comes second, the high third, the middle an octave up closes the spread.
      const spread: Pluck[] = [
        a,
        { ...b, pitch: c.pitch },
        { ...c, pitch: b.pitch },
        { ...d, pitch: { ...c.pitch, octave: c.pitch.octave + 1 } },
      ];
      const inner = [b, c, d];
      if (inner.some((p) => view.roles.get(p.id)?.top === true)) continue;
      // Where no lower note is held these are the bass line to the ear: only for ease.
      const isBass = inner.some((p) => view.roles.get(p.id)?.bass === true);
      const loss = inner.reduce((sum, p) => sum + (view.roles.get(p.id)?.worth ?? 0), 0);
      const ids = notes.map((p) => p.id);
      out.push(
        rewrite(view, rule, a.onset, {
          remove: ids,
          add: spread,
          ease: ease(0, isBass ? 0 : loss + 15, loss + 30),
        }),
      );
      i += 3;
    }
    return out;
  },
};
