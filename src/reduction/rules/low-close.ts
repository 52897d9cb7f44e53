/** Thick close chords below C3: octave, fifth or tenth. */

import type { Pluck } from '../../music/passage';
import { midiOf } from '../../music/pitch';
import type { Rule } from '../types';
import { LOW_KEY, ease, onsetOf, raised, rewrite, strokes } from './helpers';

/** Semitones above the bass that ring clear: fifth, octave, tenths. */
const CLEAR = [7, 12, 15, 16];

export const rule: Rule = {
  code: 'low-close',
  source:
    'UBC Impart blog (2013); Rimsky-Korsakov, Principles of Orchestration (1922), Harp; threshold common practice',
  find(view) {
    return strokes(view, 'L').flatMap((stroke) => {
      const bass = stroke[0] as Pluck;
      const key = midiOf(bass.pitch);
      const thick = stroke.slice(1).filter((p) => {
        const apart = midiOf(p.pitch) - key;
        return midiOf(p.pitch) < LOW_KEY && !CLEAR.includes(apart) && view.roles.get(p.id)?.top !== true;
      });
      if (thick.length === 0) return [];
      const struck = new Set(view.plucks.filter((p) => p.onset === bass.onset).map((p) => midiOf(p.pitch)));
      // Each goes up an octave (a third becomes a tenth), unless it sounds there already.
      const add = thick.filter((p) => !struck.has(midiOf(p.pitch) + 12)).map((p) => raised(p, 1));
      const loss = thick.reduce((sum, p) => sum + (view.roles.get(p.id)?.worth ?? 0), 0);
      const remove = thick.map((p) => p.id);
      return [
        rewrite(view, rule, onsetOf(stroke), { remove, add, ease: ease(0, (loss >> 1) + 15, loss + 15) }),
      ];
    });
  },
};
