/** Phrase plans: which of the textures of a mixed proposal a bar may take, so that the change makes a form. */

import type { Random } from '../base/random';

export interface PhrasePlan {
  readonly id: string;
  /** As the variant names it. */
  readonly name: string;
  /** How many textures it takes. */
  readonly roles: 2 | 3;
  /** Whether the roles go from few notes to many or from many to few; null where any order serves. */
  readonly order: 'growing' | 'shrinking' | null;
  /** Parts of the phrase, each with its role. */
  readonly parts: readonly number[];
  /** Whether the parts come round again, or are spread over all bars once. */
  readonly cycles: boolean;
}

export const PHRASE_PLANS: readonly PhrasePlan[] = [
  { id: 'aaba', name: 'a a b a', roles: 2, order: null, parts: [0, 0, 1, 0], cycles: true },
  { id: 'abab', name: 'a b a b', roles: 2, order: null, parts: [0, 1], cycles: true },
  { id: 'abac', name: 'a b a c', roles: 3, order: null, parts: [0, 1, 0, 2], cycles: true },
  { id: 'aab', name: 'a a b', roles: 2, order: null, parts: [0, 0, 1], cycles: false },
  { id: 'building', name: 'building', roles: 3, order: 'growing', parts: [0, 1, 2], cycles: false },
  { id: 'thinning', name: 'thinning', roles: 3, order: 'shrinking', parts: [0, 1, 2], cycles: false },
];

/** Bars to a part of a plan that comes round: phrases of four bars, eight or sixteen as the length gives room. */
const partBars = (bars: number, parts: number): number => (bars >= 8 * parts ? 4 : bars >= 2 * parts ? 2 : 1);

/** The role of each bar. */
export function rolesOf(plan: PhrasePlan, bars: number): number[] {
  const count = plan.parts.length;
  const length = partBars(bars, count);
  return Array.from({ length: bars }, (_, b) => {
    const part = plan.cycles ? Math.floor(b / length) % count : Math.floor((b * count) / bars);
    return plan.parts[part] as number;
  });
}

/** The plans that a number of bars has room for: every role is heard. */
export const plansFor = (bars: number): PhrasePlan[] =>
  PHRASE_PLANS.filter((p) => new Set(rolesOf(p, bars)).size === p.roles);

/** A plan by chance among those that there is room for; null for a single bar. */
export function drawPlan(bars: number, random: Random): PhrasePlan | null {
  const plans = plansFor(bars);
  return plans.length === 0 ? null : random.pick(plans);
}
