/** A pedal moved while a string of its letter still sounds bends or buzzes it, unless the string was damped first. */

import type { Problem } from '../../base/problem';
import type { Move } from '../../harp/planned';
import { stringName, stringOf } from '../../harp/strings';
import { spellingName } from '../../music/pitch';
import type { Limit, Limits } from '../limits';
import { type Strike, firstIndex } from '../passage-index';
import { type Rule, musicProblem, toSeconds } from '../rule';
import { damped, dampsOf } from '../silence';

/** How long a string of this height is heard to bend. */
export function bendLimit(limits: Limits, string: number): Limit {
  if (string <= limits.woundUpTo.value) return limits.ringWound;
  if (string >= limits.forgiveFrom.value) return limits.ringTop;
  return string < limits.repeatHighFrom.value ? limits.ringTenor : limits.ringMiddle;
}

export const rule: Rule = {
  code: 'pedal-ring',
  source: 'common practice; Canton & Overlach, Composing for Harp, list the bend as a deliberate effect',
  check({ planned, index, limits }) {
    const out: Problem[] = [];
    const damps = dampsOf(planned.passage, index);
    const slid = new Set((planned.passage.slides ?? []).map((s) => `${s.to.letter}@${s.onset}`));
    const check = (move: Move): Problem | null => {
      if (slid.has(`${move.letter}@${move.onset}`)) return null;
      const strikes = index.byLetter.get(move.letter) ?? [];
      let next = firstIndex(strikes.length, (i) => (strikes[i] as Strike).onset >= move.onset);
      while (strikes[next]?.pitch.alter === move.from && strikes[next]?.onset === move.onset) next++;
      // However early the mark stands, the foot may wait until just before the first note that needs it.
      const until = strikes[next]?.at ?? index.microsAt(move.onset);
      let worst: { readonly strike: Strike; readonly short: number } | null = null;
      for (let i = next - 1; i >= 0; i--) {
        const strike = strikes[i] as Strike;
        const gap = until - strike.at;
        if (gap >= limits.ringWound.value) break;
        if (planned.instrument.discless.includes(strike.string) || strike.technique === 'etouffe') continue;
        if (gap < limits.settle.value) continue; // the rule of pedal times speaks
        const short = bendLimit(limits, strike.string).value - gap;
        if (short <= 0 || damped(damps, strike, until)) continue;
        if (strikes[next]?.string === strike.string) continue; // placing the finger again silences it
        if (worst === null || short > worst.short) worst = { strike, short };
      }
      if (worst === null) return null;
      const { strike } = worst;
      const limit = bendLimit(limits, strike.string);
      const found = {
        value: toSeconds(until - strike.at),
        limit: toSeconds(limit.value),
        unit: 's',
        source: limit.source,
      };
      const id = `${move.letter}@${move.onset}`;
      return musicProblem('pedal-ring', 'warning', move.onset, [strike.id, id], found, {
        string: stringName(stringOf(strike.pitch)),
        from: spellingName(move.letter, move.from),
        to: spellingName(move.letter, move.to),
      });
    };
    for (const move of planned.moves) {
      const problem = check(move);
      if (problem !== null) out.push(problem);
    }
    return out;
  },
};
