/** Fast octaves in one hand: the whole hand is placed anew for each; single notes or two hands speak better. */

import type { Problem } from '../../base/problem';
import { spanOf } from '../chords';
import { type Group, stringsOf } from '../passage-index';
import { HAND_NAMES, type Rule, idsOf, milliRate, musicProblem, perSecond } from '../rule';
import { type Run, joinRuns } from '../runs';

const OCTAVE = 7;
/** Octaves after the first that make a passage of them. */
const ROW = 3;

/** Two strings an octave apart, and nothing between. */
export function isOctave(g: Group): boolean {
  const strings = stringsOf(g.strikes);
  return strings.length === 2 && spanOf(strings) === OCTAVE;
}

export const rule: Rule = {
  code: 'octaves',
  source: 'Berlioz, Grand traité d’instrumentation (1844/55), p. 88; rate: common practice',
  check({ index, limits }) {
    const { value: limit, source } = limits.handOctaves;
    return (['R', 'L'] as const).flatMap((hand): Problem[] => {
      const groups = index.hands[hand];
      const runs: Run[] = [];
      let row = 0;
      groups.forEach((g, i) => {
        // Counts only what moves: one octave struck again and again is a matter of repeats.
        const before = groups[i - 1];
        const moves = before !== undefined && before.strikes[0]?.string !== g.strikes[0]?.string;
        row = !isOctave(g) ? 0 : moves && row > 0 ? row + 1 : 1;
        if (row <= ROW) return;
        const rate = milliRate(ROW, g.at - (groups[i - ROW] as Group).at);
        if (rate > limit) runs.push({ from: i - ROW, to: i, worst: rate });
      });
      return joinRuns(runs).map((run) => {
        const inside = groups.slice(run.from, run.to + 1);
        const found = { value: perSecond(run.worst), limit: perSecond(limit), unit: 'octaves/s', source };
        const ids = inside.flatMap((g) => idsOf(g.strikes));
        return musicProblem('octaves', 'warning', (inside[0] as Group).onset, ids, found, {
          hand: HAND_NAMES[hand],
        });
      });
    });
  },
};
