/** A full chord that stands: rolled over both hands, as harps play it. */

import type { Pluck } from '../../music/passage';
import { midiOf } from '../../music/pitch';
import type { Rule } from '../types';
import { ease, rewrite } from './helpers';

/** Notes of a full chord, and the least time until anything else is struck: a roll has to be heard out. */
const FULL = 6;
const STANDS = 1_000_000;
/** One note less is full enough where it stands as long as this. */
const LONG = 1_600_000;

export const rule: Rule = {
  code: 'slow-chords',
  source:
    'Rimsky-Korsakov, Principles of Orchestration (1922), Harp; Freund & Cutler, Extreme Orchestration (2024), Harp',
  find(view) {
    const rolled = new Set(view.passage.rolls.flatMap((r) => r.plucks));
    const groups = new Map<number, Pluck[]>();
    for (const p of view.plucks) groups.set(p.onset, [...(groups.get(p.onset) ?? []), p]);
    const onsets = [...groups.keys()];
    const end = view.bar.start + view.bar.length;
    return [...groups.values()].flatMap((notes, i) => {
      const first = notes[0] as Pluck;
      const stands = view.microsAt(onsets[i + 1] ?? end) - view.microsAt(first.onset);
      const dry = notes.some((p) => view.staccato.has(p.id));
      const full = notes.length >= (stands >= LONG ? FULL - 1 : FULL);
      if (!full || stands < STANDS || dry || notes.some((p) => rolled.has(p.id))) return [];
      const plucks = [...notes].sort((a, b) => midiOf(a.pitch) - midiOf(b.pitch)).map((p) => p.id);
      const rolls = [{ id: `${plucks[0]}.slow`, plucks, direction: 'up' as const }];
      return [rewrite(view, rule, first.onset, { remove: [], add: [], rolls, ease: ease(0, 10, 10) })];
    });
  },
};
