/** Problems as the terminal shows them. */

import type { Problem } from '../base/problem';
import { type Bar, barAndBeat } from '../music/metre';
import { sentence } from '../playability/sentences';

/** Whether any is an error: the exit code turns on it. */
export const isSevere = (problems: readonly Problem[]): boolean =>
  problems.some((p) => p.severity === 'error');

const count = (n: number, one: string, many: string): string => `${n} ${n === 1 ? one : many}`;

/** Counted things, for the terminal's sentences. */
export { count as counted };

/** What is said beside a part that is printed or sounded although no harpist can play all of it; null where one can. */
export function unplayableNote(path: string, problems: readonly Problem[]): string | null {
  const errors = problems.filter((p) => p.severity === 'error').length;
  if (errors === 0) return null;
  return `“${path}”: ${count(errors, 'place', 'places')} in it cannot be played on the harp as written. \`check\` names them; \`mend\` changes the least, \`reduce\` arranges a piano part.`;
}

export interface ShownProblem {
  readonly code: string;
  readonly severity: 'error' | 'warning';
  readonly bar: string | null;
  readonly beat: number | null;
  readonly message: string;
  readonly source: string;
  readonly value: number | string;
  readonly limit: number | string;
  readonly unit: string | null;
  readonly ids: readonly string[];
}

/** A beat with at most three decimals. */
export const shownBeat = (beat: number): number => Math.round(beat * 1000) / 1000;

/** The contract's form of a problem. */
export function shownProblem(p: Problem, bars: readonly Bar[]): ShownProblem {
  const place = p.where.kind === 'music' && bars.length > 0 ? barAndBeat(bars, p.where.onset) : null;
  return {
    code: p.code,
    severity: p.severity,
    bar: place?.bar ?? (p.where.kind === 'file' ? (p.where.bar ?? null) : null),
    beat: place === null ? null : shownBeat(place.beat),
    message: sentence(p, bars),
    source: p.source,
    value: p.value,
    limit: p.limit,
    unit: p.unit ?? null,
    ids: p.where.kind === 'music' ? p.where.ids : [],
  };
}
