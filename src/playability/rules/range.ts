/** Every pluck lies on a string of the instrument. */

import { stringName, stringOf } from '../../harp/strings';
import { pitchName } from '../../music/pitch';
import { type Rule, musicProblem } from '../rule';

export const rule: Rule = {
  code: 'range',
  source: 'Wikipedia, "Pedal harp"',
  check({ planned, index }) {
    const { lowest, highest, source } = planned.instrument;
    const limit = `${stringName(lowest)}–${stringName(highest)}`;
    const outside = (s: number): boolean => s < lowest || s > highest;
    const problems = index.strikes
      .filter((s) => outside(s.string))
      .map((s) =>
        musicProblem('range', 'error', s.onset, [s.id], { value: pitchName(s.pitch), limit, source }),
      );
    for (const t of planned.passage.trembles) {
      for (const note of t.notes) {
        if (!outside(stringOf(note.pitch))) continue;
        const found = { value: pitchName(note.pitch), limit, source };
        problems.push(musicProblem('range', 'error', t.onset, [note.id], found));
      }
    }
    for (const s of planned.passage.sweeps) {
      const end = outside(s.from) ? s.from : s.to;
      if (!outside(end)) continue;
      problems.push(
        musicProblem('range', 'error', s.onset, [s.id], { value: stringName(end), limit, source }),
      );
    }
    return problems;
  },
};
