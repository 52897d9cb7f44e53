/** Remarks that tell of one thing are one remark: the strings of one figure, two names of one note. */

import type { Problem } from '../base/problem';
import type { Ticks } from '../base/units';
import { barAt } from '../music/metre';
import type { Passage } from '../music/passage';

type Placed = Problem & { readonly where: { readonly kind: 'music' } };
const isPlaced = (p: Problem): p is Placed => p.where.kind === 'music';
const kindOf = (p: Problem): unknown => p.detail?.['kind'];
const numberOf = (x: Problem['value']): number => (typeof x === 'number' ? x : 0);

interface Span {
  readonly problem: Placed;
  readonly from: number;
  readonly to: number;
  readonly hand: string;
}

/** 'F4, B4 and D5'. */
function listed(names: readonly string[]): string {
  const last = names.at(-1) as string;
  return names.length < 2 ? last : `${names.slice(0, -1).join(', ')} and ${last}`;
}

/** One remark for strings that are repeated by turns in one hand; it stands where the worst of them is. */
function repeats(spans: readonly Span[], passage: Passage): Problem[] {
  const out: { spans: Span[]; to: number }[] = [];
  const open = new Map<string, { spans: Span[]; to: number }>();
  for (const span of [...spans].sort((a, b) => a.from - b.from)) {
    const last = open.get(span.hand);
    if (last !== undefined && span.from <= last.to) {
      last.spans.push(span);
      last.to = Math.max(last.to, span.to);
      continue;
    }
    const begun = { spans: [span], to: span.to };
    open.set(span.hand, begun);
    out.push(begun);
  }
  const excess = ({ problem: p }: Span): number => numberOf(p.value) / Math.max(1, numberOf(p.limit));
  return out.map(({ spans: all, to }) => {
    const worst = all.reduce((a, b) => (excess(b) > excess(a) ? b : a));
    const { problem } = worst;
    const names = [...new Set(all.map((s) => String(s.problem.detail?.['string'])))];
    const ids = [...new Set(all.flatMap((s) => s.problem.where.ids))];
    const { bars } = passage;
    const [first, last] = [problem.where.onset, to as Ticks].map((at) => barAt(bars, at as Ticks));
    const until = first?.index === last?.index ? {} : { until: last?.number ?? '' };
    if (names.length < 2) return { ...problem, detail: { ...problem.detail, ...until } };
    return {
      ...problem,
      where: { ...problem.where, ids },
      detail: { ...problem.detail, strings: listed(names), ...until },
    };
  });
}

/**
 * Problems of a part with those that tell of one thing drawn together: repeats of several strings in one hand that
 * overlap in time (`repeat-rate`, with `strings` and, where they go on, `until`: a printed bar number), and a note
 * played on a string that is struck already (`respelt` with `doubled`, its unison left out). Every note stays named.
 */
export function drawTogether(problems: readonly Problem[], passage: Passage): Problem[] {
  if (passage.bars.length === 0) return [...problems];
  const plucks = new Map(passage.plucks.map((p) => [p.id, p]));
  const respelt = new Map<string, Problem>();
  for (const p of problems) {
    if (p.code === 'respelt' && isPlaced(p)) for (const id of p.where.ids) respelt.set(id, p);
  }
  const spans: Span[] = [];
  const doubled = new Set<Problem>();
  const rest = problems.filter((p) => {
    if (!isPlaced(p)) return true;
    if (p.code === 'repeat-rate' && kindOf(p) === 'fast') {
      const mine = p.where.ids.flatMap((id) => plucks.get(id) ?? []);
      const onsets = mine.map((x) => x.onset);
      const hands = new Set(mine.map((x) => x.hand ?? ''));
      const hand = [...hands].sort().join('');
      spans.push({ problem: p, from: Math.min(...onsets), to: Math.max(...onsets), hand });
      return false;
    }
    if (p.code === 'clash' && p.severity === 'warning' && kindOf(p) === 'string') {
      const other = p.where.ids.flatMap((id) => respelt.get(id) ?? [])[0];
      if (other !== undefined) doubled.add(other);
      return other === undefined;
    }
    return true;
  });
  const told = rest.map((p) => (doubled.has(p) ? { ...p, detail: { ...p.detail, doubled: 1 } } : p));
  return [...told, ...repeats(spans, passage)];
}
