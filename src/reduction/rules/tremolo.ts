/** A tremolo: bisbigliando where it is soft and has three strings or more, else struck once and rolled. */

import type { Pluck, Tremble } from '../../music/passage';
import { midiOf } from '../../music/pitch';
import type { Rule } from '../types';
import { ease, rewrite } from './helpers';

const SOFT = ['ppp', 'pp', 'p'];

const isFree = (t: Tremble, plucks: readonly Pluck[]): boolean =>
  plucks.every((p) => p.onset >= t.onset + t.duration || p.onset < t.onset);

export const rule: Rule = {
  code: 'tremolo',
  source: 'Goss, 100 Orchestration Tips, no. 68; Einarsdóttir, harp notation manual; common practice',
  find(view) {
    return view.trembles.flatMap((t) => {
      const bisbigliando = SOFT.includes(t.dynamic) && t.notes.length >= 3 && isFree(t, view.plucks);
      if (bisbigliando && t.notes.length <= 8) return [];
      const add = t.notes.map((n): Pluck => ({
        id: n.id,
        onset: t.onset,
        duration: t.duration,
        pitch: n.pitch,
        hand: n.hand,
        finger: null,
        technique: 'ordinary',
        dynamic: t.dynamic,
      }));
      add.sort((a, b) => midiOf(a.pitch) - midiOf(b.pitch));
      // An octave is struck, not rolled.
      const rolls =
        add.length < 3
          ? []
          : [{ id: `${t.id}.roll`, plucks: add.map((p) => p.id), direction: 'up' as const }];
      return [
        rewrite(view, rule, t.onset, { remove: [t.id], add, rolls, ease: ease(30, 60, 60) }, `:${t.id}`),
      ];
    });
  },
};
