/** Keys of many sharps ring dull: pedals stand low and the strings are shortest. The same sounds are written in flats. */

import type { Problem } from '../../base/problem';
import { ticks } from '../../base/units';
import { type Rule, musicProblem } from '../rule';

const SOURCE =
  'Berlioz, Grand traité d’instrumentation (1844/55), p. 86; Prout, The Orchestra I (1899), p. 74';
/** B, F♯ and C♯: the keys that have a twin in flats. */
const TWIN = 5;
const ALL = 12;

export const rule: Rule = {
  code: 'sharp-key',
  source: SOURCE,
  check({ planned, index }) {
    const { fifths, keys = [] } = planned.passage;
    const first = index.onsets[0];
    if (first === undefined) return [];
    return [{ onset: ticks(0), fifths }, ...keys].flatMap((key): Problem[] => {
      if (key.fifths < TWIN) return [];
      const onset = key.onset === 0 ? first.onset : key.onset;
      const found = { value: key.fifths, limit: ALL - key.fifths, source: SOURCE };
      return [musicProblem('sharp-key', 'warning', onset, [], found)];
    });
  },
};
