/** What a rule is given and what it answers, with the small helpers that rules share. */

import type { Problem, Quantity, Severity } from '../base/problem';
import type { Ticks } from '../base/units';
import type { PlannedPassage } from '../harp/planned';
import type { Source } from '../harp/source';
import type { PassageIndex, Strike } from './passage-index';
import type { Limits } from './limits';

export interface RuleInput {
  readonly planned: PlannedPassage;
  readonly limits: Limits;
  /** Plucks with their strings and times, grouped by onset, by hand and by string. */
  readonly index: PassageIndex;
}

export interface Rule {
  /** Kebab-case and stable; the code of its problems. */
  readonly code: string;
  readonly source: Source;
  /** All problems this rule sees, in order of time. Never throws for what a user did. */
  check(input: RuleInput): Problem[];
}

export const HAND_NAMES = { R: 'right', L: 'left' } as const;

export const idsOf = (strikes: readonly Strike[]): string[] => strikes.map((s) => s.id);

/** A problem at an onset. */
export function musicProblem(
  code: string,
  severity: Severity,
  onset: Ticks,
  ids: readonly string[],
  found: {
    readonly value: Quantity;
    readonly limit: Quantity;
    readonly unit?: string;
    readonly source: Source;
  },
  detail?: Readonly<Record<string, string | number>>,
): Problem {
  return {
    code,
    severity,
    where: { kind: 'music', onset, ids },
    value: found.value,
    limit: found.limit,
    ...(found.unit === undefined ? {} : { unit: found.unit }),
    source: found.source,
    ...(detail === undefined ? {} : { detail }),
  };
}

/** Microseconds as seconds, thousandths kept: what a problem reports. */
export const toSeconds = (us: number): number => Math.round(us / 1000) / 1000;

/** `n` events in `us` microseconds, in thousandths a second. Times are rounded down, so two are given back. */
export const milliRate = (n: number, us: number): number =>
  Math.floor((n * 1_000_000_000) / Math.max(1, us + 2));

/** Thousandths a second with at most one decimal, rounded up: a rate over its limit is never reported as equal to it. */
export const perSecond = (milli: number): number => Math.ceil(milli / 100) / 10;
