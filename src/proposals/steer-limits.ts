/** Which of the limits that were set refuse drafts, and what comes back where one of them is lifted. */

import type { Problem } from '../base/problem';
import type { ProposeRequest, Rejection, SteeringLimit, LimitReport, Steering } from './types';

/** The limits in the order in which they are told. */
export const LIMITS: readonly SteeringLimit[] = [
  'density',
  'register',
  'hardest',
  'mostMoves',
  'locked',
  'start',
  'end',
  'keepSpelling',
  'times',
  'slides',
  'unlike',
  'keep',
  'families',
];

const without = <K extends keyof Steering>(request: ProposeRequest, key: K): ProposeRequest => {
  const { [key]: _, ...steering } = request.steering ?? {};
  return { ...request, steering };
};
type PedalRule = keyof NonNullable<Steering['pedals']>;
const withoutRule = (request: ProposeRequest, key: PedalRule): ProposeRequest => {
  const { [key]: _, ...pedals } = request.steering?.pedals ?? {};
  return { ...request, steering: { ...request.steering, pedals } };
};

/** Whether a request sets a limit. A list of families is one only where no melody is given. */
export function isSet(
  { steering = {}, start, families, melody }: ProposeRequest,
  limit: SteeringLimit,
): boolean {
  switch (limit) {
    case 'locked':
      return Object.keys(steering.pedals?.locked ?? {}).length > 0;
    case 'end':
      return (steering.pedals?.end ?? null) !== null;
    case 'keepSpelling':
      return steering.pedals?.keepSpelling === true;
    case 'times':
      return steering.pedals?.times !== undefined;
    case 'start':
      return start !== null;
    case 'families':
      return families.length > 0 && melody === undefined;
    case 'unlike':
    case 'slides':
    case 'keep':
      return (steering[limit] ?? []).length > 0;
    default:
      return steering[limit] !== undefined;
  }
}

/** The same request with one limit lifted: what the page asks when the user takes the offer. */
export function lifted(request: ProposeRequest, limit: SteeringLimit): ProposeRequest {
  switch (limit) {
    case 'locked':
    case 'end':
    case 'keepSpelling':
    case 'times':
      return withoutRule(request, limit);
    case 'start':
      return { ...request, start: null };
    case 'families':
      return { ...request, families: [] };
    default:
      return without(request, limit);
  }
}

/** The limits that a refusal names. */
const named = (problems: readonly Problem[]): unknown[] => problems.map((p) => p.detail?.limit);

/**
 * The limits that are set, each with how many drafts it refused; `back` answers how many proposals come where one
 * alone is lifted, and is asked only where there are none.
 */
export function limitReports(
  request: ProposeRequest,
  rejected: readonly Rejection[],
  back: ((lifted: ProposeRequest) => number) | null,
): LimitReport[] {
  return LIMITS.filter((limit) => isSet(request, limit)).map((limit) => ({
    limit,
    refused: rejected.filter((r) => named(r.problems).includes(limit)).length,
    back: back === null ? null : back(lifted(request, limit)),
  }));
}
