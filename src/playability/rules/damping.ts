/** Low strings ring on: where the bass moves by step over one that still sounds, a damp mark is wanted. */

import type { Problem } from '../../base/problem';
import { midiOf, pitchName } from '../../music/pitch';
import type { Strike } from '../passage-index';
import { type Rule, idsOf, musicProblem, toSeconds } from '../rule';
import { type Run, joinRuns } from '../runs';
import { damped, dampsOf } from '../silence';

/** Semitones that rub in the bass, octaves set aside: a second, a seventh, and the tritone. */
const RUBS: ReadonlySet<number> = new Set([1, 2, 6, 10, 11]);

const rubs = (a: Strike, b: Strike): boolean => RUBS.has(Math.abs(midiOf(a.pitch) - midiOf(b.pitch)) % 12);

export const rule: Rule = {
  code: 'damping',
  source:
    'UBC Impart blog (2013); Rimsky-Korsakov, Principles of Orchestration (1922), Harp; common practice',
  check({ planned, index, limits }) {
    const { bassRing, bassBelow } = limits;
    const damps = dampsOf(planned.passage, index);
    // The lowest string of each onset whose lowest string is low: the bass.
    const bass = index.onsets.flatMap((g) => {
      const low = g.strikes[0];
      return low === undefined || low.string >= bassBelow.value ? [] : [low];
    });
    const ringing = (a: Strike, b: Strike): boolean =>
      a.technique !== 'etouffe' &&
      a.string !== b.string &&
      b.at - a.at < bassRing.value &&
      // Sooner than a hand can be placed to damp, it is a run through the bass and no new bass.
      b.at - a.at >= limits.placing.value &&
      rubs(a, b) &&
      !damped(damps, a, b.at);
    const runs: Run[] = [];
    for (let i = 1; i < bass.length; i++) {
      const [a, b] = [bass[i - 1] as Strike, bass[i] as Strike];
      if (ringing(a, b)) runs.push({ from: i - 1, to: i, worst: bassRing.value - (b.at - a.at) });
    }
    return joinRuns(runs).map((run): Problem => {
      const inside = bass.slice(run.from, run.to + 1);
      const [first, second] = [inside[0] as Strike, inside[1] as Strike];
      const found = {
        value: toSeconds(bassRing.value - run.worst),
        limit: toSeconds(bassRing.value),
        unit: 's',
        source: bassRing.source,
      };
      return musicProblem('damping', 'warning', second.onset, idsOf(inside), found, {
        first: pitchName(first.pitch),
        second: pitchName(second.pitch),
        count: inside.length,
      });
    });
  },
};
