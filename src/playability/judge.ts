/** Judges a planned passage by every rule. */

import type { Problem } from '../base/problem';
import type { PlannedPassage } from '../harp/planned';
import { assignHands } from './hands';
import { DEFAULT_LIMITS, type Limits } from './limits';
import { indexPassage } from './passage-index';
import type { Rule } from './rule';
import { rule as balance } from './rules/balance';
import { rule as bisbigliando } from './rules/bisbigliando';
import { rule as blur } from './rules/blur';
import { rule as chromatic } from './rules/chromatic';
import { rule as clash } from './rules/clash';
import { rule as dampTime } from './rules/damp-time';
import { rule as damping } from './rules/damping';
import { rule as etouffe } from './rules/etouffe';
import { rule as fourFingers } from './rules/four-fingers';
import { rule as handSpeed } from './rules/hand-speed';
import { rule as harmonics } from './rules/harmonics';
import { rule as leap } from './rules/leap';
import { rule as mixedHarmonics } from './rules/mixed-harmonics';
import { rule as octaves } from './rules/octaves';
import { rule as pedalRing } from './rules/pedal-ring';
import { rule as pedalTime } from './rules/pedal-time';
import { rule as placing } from './rules/placing';
import { rule as range } from './rules/range';
import { rule as reach } from './rules/reach';
import { rule as repeatRate } from './rules/repeat-rate';
import { rule as sharedString } from './rules/shared-string';
import { rule as sharpKey } from './rules/sharp-key';
import { rule as spacing } from './rules/spacing';
import { rule as span } from './rules/span';
import { rule as stamina } from './rules/stamina';
import { rule as strain } from './rules/strain';
import { rule as sweep } from './rules/sweep';
import { rule as table } from './rules/table';
import { rule as tableTravel } from './rules/table-travel';
import { rule as wrongPedal } from './rules/wrong-pedal';

/** Every rule, the harp's first, then the hands', the techniques', the feet's. */
export const RULES: readonly Rule[] = [
  range,
  clash,
  wrongPedal,
  fourFingers,
  span,
  spacing,
  reach,
  sharedString,
  repeatRate,
  handSpeed,
  leap,
  harmonics,
  table,
  etouffe,
  bisbigliando,
  sweep,
  pedalTime,
];

/**
 * For a part that somebody brings: also what a harpist would say of the whole, beyond what hands and feet can do.
 * Proposals and reductions are judged by `RULES`; their makers see to these things in their own way.
 */
export const PART_RULES: readonly Rule[] = [
  ...RULES,
  strain,
  placing,
  octaves,
  mixedHarmonics,
  tableTravel,
  chromatic,
  pedalRing,
  sharpKey,
  blur,
  damping,
  dampTime,
  balance,
  stamina,
];

const RANK = { error: 0, warning: 1 } as const;
const textOrder = (a: string, b: string): number => (a < b ? -1 : a > b ? 1 : 0);

/** By place, then errors before warnings, then by code; ids decide between equals. */
export function problemOrder(a: Problem, b: Problem): number {
  const [p, q] = [a.where, b.where];
  if (p.kind === 'music' && q.kind === 'music' && p.onset !== q.onset) return p.onset - q.onset;
  return (
    RANK[a.severity] - RANK[b.severity] ||
    textOrder(a.code, b.code) ||
    (p.kind === 'music' && q.kind === 'music' ? textOrder(p.ids.join(' '), q.ids.join(' ')) : 0)
  );
}

/**
 * All problems of a planned passage, sorted by onset, then severity (errors first), then code. Empty: playable
 * without remark. An error is what cannot be done; rates and comforts are warnings. Where plucks have no hand,
 * hands are searched first, so the answer says whether any good division exists.
 */
export function judge(
  planned: PlannedPassage,
  limits: Limits = DEFAULT_LIMITS,
  rules: readonly Rule[] = RULES,
): Problem[] {
  const steps = judgeInSteps(planned, limits, rules);
  for (;;) {
    const step = steps.next();
    if (step.done === true) return step.value;
  }
}

/** The same rule by rule, for a caller who shows progress or gives up: yields the share done, from 0 to 1. */
export function* judgeInSteps(
  planned: PlannedPassage,
  limits: Limits = DEFAULT_LIMITS,
  rules: readonly Rule[] = RULES,
): Generator<number, Problem[]> {
  const settled = planned.passage.plucks.some((p) => p.hand === null)
    ? { ...planned, passage: assignHands(planned.passage) }
    : planned;
  const input = { planned: settled, limits, index: indexPassage(settled) };
  const out: Problem[] = [];
  for (const [i, rule] of rules.entries()) {
    yield i / rules.length;
    for (const problem of rule.check(input)) out.push(problem);
  }
  return out.sort(problemOrder);
}
