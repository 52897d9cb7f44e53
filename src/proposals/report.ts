/** What a check amounts to: how much of what, where it is worst, what to do first, what to ask a harpist. Data only. */

import type { Problem, Quantity, Severity } from '../base/problem';
import { ticks } from '../base/units';
import { barAndBeat, barAt } from '../music/metre';
import type { CheckReport } from './check';
import { barsConcerned } from './check-places';

/** Problems of one code and one severity. */
export interface Tally {
  readonly code: string;
  readonly severity: Severity;
  readonly count: number;
  /** Printed numbers of the bars concerned, each once, in order. */
  readonly bars: readonly string[];
}

export interface BarTally {
  readonly bar: string;
  readonly errors: number;
  readonly warnings: number;
}

/** Something to look at before all else: every error of a kind, with its first example. */
export interface Task {
  readonly code: string;
  readonly severity: Severity;
  readonly count: number;
  readonly example: Problem;
  readonly bar: string;
  readonly beat: number;
}

/** What a harpist should be asked, because this check had to assume it or the trade has no printed rule for it. */
export type Question =
  | { readonly kind: 'tempo' }
  | { readonly kind: 'hands' }
  | { readonly kind: 'pedals'; readonly moves: number }
  | { readonly kind: 'unmarked-chords'; readonly bars: readonly string[] }
  | {
      readonly kind: 'practice';
      readonly code: string;
      readonly count: number;
      readonly bars: readonly string[];
      /** The hardest case: what was found and what is commonly allowed. */
      readonly value: Quantity;
      readonly limit: Quantity;
      readonly unit: string | null;
      readonly source: string;
    };

export interface Summary {
  /** What is to be said before all else where the part is no harp music as it stands (see `unsuited`), else null. */
  readonly unsuited: Problem | null;
  readonly onsets: number;
  readonly errors: number;
  readonly warnings: number;
  /** Onsets that draw an error. */
  readonly onsetsWithErrors: number;
  /** Errors first, then by how often. */
  readonly tallies: readonly Tally[];
  /** At most five, the worst first: errors count before warnings. */
  readonly worstBars: readonly BarTally[];
  /** At most three. */
  readonly first: readonly Task[];
  /** Bars where a rest would help. */
  readonly rests: readonly string[];
  readonly questions: readonly Question[];
}

const MOST_BARS = 5;
const MOST_TASKS = 3;
const MOST_QUESTIONS = 6;
/** Onsets of three and more unrolled strings from which on it is worth asking how unmarked chords are played. */
const UNMARKED_CHORDS = 4;

/** What stands in the way of the rest comes first: notes, then pedals, then hands, then speed. */
const ORDER: readonly string[] = [
  'part-not-harp',
  'range',
  'clash',
  'wrong-pedal',
  'discless',
  'pedal-time',
  'four-fingers',
  'span',
  'reach',
  'shared-string',
  'repeat-rate',
  'hand-speed',
];
const rank = (code: string): number => (ORDER.includes(code) ? ORDER.indexOf(code) : ORDER.length);

const inMusic = (p: Problem): p is Problem & { where: { kind: 'music' } } => p.where.kind === 'music';

function add<K, V>(map: Map<K, V[]>, key: K, value: V): void {
  const list = map.get(key);
  if (list === undefined) map.set(key, [value]);
  else list.push(value);
}

/** A rule that rests on nothing printed: 'common practice' alone or beside a source. */
const isPractice = (p: Problem): boolean => p.source.includes('common practice');

/** How far past its limit a problem is, where both are numbers: larger is worse, whichever way the limit points. */
function excess(p: Problem): number {
  const { value, limit } = p;
  if (typeof value !== 'number' || typeof limit !== 'number' || value <= 0 || limit <= 0) return 0;
  return value > limit ? value / limit : limit / value;
}

/** The report of a check in short. Pure: the same check gives the same summary. */
export function checkReport(report: CheckReport): Summary {
  const { bars } = report.planned.passage;
  const unsuited = report.problems.find((p) => p.code === 'part-unsuited') ?? null;
  // What is said of the whole is no place in it.
  const placed = report.problems.filter(inMusic).filter((p) => p !== unsuited);
  const concerned = barsConcerned(report.planned.passage);
  const byCode = new Map<string, (typeof placed)[number][]>();
  const byBar = new Map<string, (typeof placed)[number][]>();
  for (const p of placed) {
    add(byCode, `${p.severity} ${p.code}`, p);
    for (const i of concerned(p)) add(byBar, bars[i]?.number ?? '', p);
  }
  const groups = [...byCode.values()].sort(
    (a, b) =>
      Number(a[0]?.severity === 'warning') - Number(b[0]?.severity === 'warning') || b.length - a.length,
  );
  const barsOf = (group: readonly (typeof placed)[number][]): string[] =>
    [...new Set(group.flatMap(concerned))].sort((a, b) => a - b).flatMap((i) => bars[i]?.number ?? []);
  const tallies = groups.map((group): Tally => {
    const { code, severity } = group[0] as Problem;
    return { code, severity, count: group.length, bars: barsOf(group) };
  });
  const errorsIn = (list: readonly Problem[]): number => list.filter((p) => p.severity === 'error').length;
  const worstBars = [...byBar]
    .map(([bar, list]) => ({ bar, errors: errorsIn(list), warnings: list.length - errorsIn(list) }))
    .sort((a, b) => b.errors - a.errors || b.warnings - a.warnings)
    .slice(0, MOST_BARS);
  const first = [...groups]
    .sort(
      (a, b) =>
        Number(a[0]?.severity === 'warning') - Number(b[0]?.severity === 'warning') ||
        rank(a[0]?.code ?? '') - rank(b[0]?.code ?? '') ||
        b.length - a.length,
    )
    .slice(0, MOST_TASKS)
    .map((group): Task => {
      const example = group[0] as (typeof placed)[number];
      const { bar, beat } = bars.length === 0 ? { bar: '', beat: 1 } : barAndBeat(bars, example.where.onset);
      return { code: example.code, severity: example.severity, count: group.length, example, bar, beat };
    });
  const rests = placed
    .filter((p) => p.code === 'stamina' && p.detail?.['rests'] !== undefined)
    .flatMap((p) => String(p.detail?.['rests']).split(', '));
  const errors = errorsIn(report.problems);
  return {
    unsuited,
    onsets: report.onsets,
    errors,
    warnings: report.problems.length - errors - (unsuited === null ? 0 : 1),
    onsetsWithErrors: new Set(placed.filter((p) => p.severity === 'error').map((p) => p.where.onset)).size,
    tallies,
    worstBars,
    first,
    rests: [...new Set(rests)],
    // Of a part that is no harp music as it stands no harpist need be asked for more than what was assumed.
    questions: [...assumptions(report), ...(unsuited === null ? doubts(groups, barsOf) : [])],
  };
}

/** What the check had to assume. */
function assumptions(report: CheckReport): Question[] {
  const out: Question[] = [];
  const { passage, moves } = report.planned;
  if (report.tempoAssumed) out.push({ kind: 'tempo' });
  if (report.hands === 'searched') out.push({ kind: 'hands' });
  if (report.pedals === 'as-printed' && moves.length > 0) out.push({ kind: 'pedals', moves: moves.length });
  const marked = new Set(passage.rolls.flatMap((r) => r.plucks));
  const sizes = new Map<number, number>();
  for (const p of passage.plucks) {
    if (!marked.has(p.id)) sizes.set(p.onset, (sizes.get(p.onset) ?? 0) + 1);
  }
  const chords = [...sizes].filter(([, n]) => n >= 3).map(([onset]) => onset);
  if (chords.length >= UNMARKED_CHORDS && passage.bars.length > 0) {
    const bars = [...new Set(chords.map((onset) => barAt(passage.bars, ticks(onset)).number))];
    out.push({ kind: 'unmarked-chords', bars });
  }
  return out;
}

/** Nothing to ask about: what file it is, and what was already given another spelling. */
const NOT_ASKED: ReadonlySet<string> = new Set(['part-not-harp', 'respelt', 'range']);

/** Rules that common practice decides and that spoke in this part: the most frequent first, the hardest case of each. */
function doubts<P extends Problem>(
  groups: readonly (readonly P[])[],
  barsOf: (g: readonly P[]) => string[],
): Question[] {
  const byRule = new Map<string, P[]>();
  for (const p of groups.flat()) {
    if (isPractice(p) && !NOT_ASKED.has(p.code))
      add(byRule, `${p.code} ${p.detail?.['kind'] ?? ''} ${p.unit ?? ''}`, p);
  }
  return [...byRule.values()]
    .sort((a, b) => b.length - a.length)
    .slice(0, MOST_QUESTIONS)
    .map((group): Question => {
      const worst = group.reduce((w, p) => (excess(p) > excess(w) ? p : w), group[0] as P);
      return {
        kind: 'practice',
        code: worst.code,
        count: group.length,
        bars: barsOf(group),
        value: worst.value,
        limit: worst.limit,
        unit: worst.unit ?? null,
        source: worst.source,
      };
    });
}
