/** Fast chromatic runs: each semitone is a pedal, and feet do not follow as fast as fingers. */

import type { Problem } from '../../base/problem';
import { midiOf, pitchName } from '../../music/pitch';
import type { Group, Strike } from '../passage-index';
import { HAND_NAMES, type Rule, idsOf, milliRate, musicProblem, perSecond } from '../rule';

/** Semitones in one direction that make a run. */
const STEPS = 5;

const top = (g: Group): Strike => g.strikes.at(-1) as Strike;
const step = (a: Group, b: Group): number => midiOf(top(b).pitch) - midiOf(top(a).pitch);

export const rule: Rule = {
  code: 'chromatic',
  source:
    'Berlioz, Grand traité d’instrumentation (1844/55), p. 85; rate: Volpé Bligh, Writing for the Pedal Harp',
  check({ index, limits }) {
    const { value: limit, source } = limits.chromaticRate;
    return (['R', 'L'] as const).flatMap((hand): Problem[] => {
      const groups = index.hands[hand];
      const out: Problem[] = [];
      let from = 0;
      groups.forEach((g, i) => {
        const next = groups[i + 1];
        const way = next === undefined ? 0 : step(g, next);
        const before = i === from ? way : step(groups[i - 1] as Group, g);
        if (Math.abs(way) === 1 && way === before) return;
        // The run ends here; a turn begins the next with its last note.
        const inside = groups.slice(from, i + 1);
        const rate = milliRate(i - from, g.at - (groups[from] as Group).at);
        if (i - from >= STEPS && rate > limit) {
          const found = { value: perSecond(rate), limit: perSecond(limit), unit: 'notes/s', source };
          const ids = inside.flatMap((x) => idsOf(x.strikes));
          const first = inside[0] as Group;
          out.push(
            musicProblem('chromatic', 'warning', first.onset, ids, found, {
              hand: HAND_NAMES[hand],
              notes: inside.length,
              from: pitchName(top(first).pitch),
              to: pitchName(top(g).pitch),
            }),
          );
        }
        from = Math.abs(way) === 1 ? i : i + 1;
      });
      return out;
    });
  },
};
