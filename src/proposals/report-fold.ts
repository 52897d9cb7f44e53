/** Remarks that are alike told once: the first with its place, and the bars of the others. */

import type { Problem } from '../base/problem';
import type { Bar } from '../music/metre';
import type { Passage } from '../music/passage';
import { barList } from '../playability/places';
import { WHOLE_PART, sentence } from '../playability/sentences';
import { barsConcerned } from './check-places';

export interface Fold {
  /** The first of its kind. */
  readonly problem: Problem;
  /** How many there are, this one counted. */
  readonly count: number;
  /** Printed numbers of the bars of the others, each once, in order. */
  readonly bars: readonly string[];
}

/** Remarks of a kind that stand each for itself before they are folded. */
const FEW = { error: 8, warning: 3 } as const;

const kindOf = (p: Problem): string =>
  [p.severity, p.code, p.detail?.['kind'] ?? '', p.detail?.['hand'] ?? ''].join(' ');

const isWhole = (p: Problem): boolean => WHOLE_PART.has(p.code);

/**
 * Problems in their order, those of which there are more than a few alike (one rule, one kind, one hand) told by
 * their first. Nothing is lost: every bar concerned is named.
 */
export function foldProblems(problems: readonly Problem[], passage: Passage): Fold[] {
  const groups = new Map<string, Problem[]>();
  for (const p of problems) {
    const key = kindOf(p);
    const list = groups.get(key);
    if (list === undefined) groups.set(key, [p]);
    else list.push(p);
  }
  const barsOf = barsConcerned(passage);
  const numbersOf = (p: Problem): string[] => barsOf(p).map((i) => passage.bars[i]?.number ?? '');
  // What is said of the whole part comes before all that is said of its bars.
  const order = [...problems].sort((a, b) => Number(isWhole(b)) - Number(isWhole(a)));
  return order.flatMap((p): Fold[] => {
    const group = groups.get(kindOf(p)) as Problem[];
    if (group.length <= FEW[p.severity]) return [{ problem: p, count: 1, bars: [] }];
    if (group[0] !== p) return [];
    const others = [...new Set(group.slice(1).flatMap(numbersOf))];
    return [{ problem: p, count: group.length, bars: others }];
  });
}

/** A fold as one sentence, or two: 'Bar 3, beat 1: … And 38 more like this: bars 3, 4, 7.' */
export function foldText({ problem, count, bars }: Fold, all: readonly Bar[]): string {
  const said = sentence(problem, all);
  if (count === 1) return said;
  return `${said} And ${count - 1} more like this${bars.length === 0 ? '' : `: ${barList(bars, 24)}`}.`;
}
