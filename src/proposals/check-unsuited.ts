/** A part that is no harp music as it stands, told once for the whole: too fast, too busy for the feet, too full for a hand. */

import type { Problem } from '../base/problem';
import type { Ticks } from '../base/units';
import { barAt } from '../music/metre';
import type { Passage } from '../music/passage';
import { DEFAULT_MILLI_BPM } from '../music/tempo';
import { barsConcerned } from './check-places';

type Kind = 'fast' | 'feet' | 'hands';

const KINDS: Readonly<Record<string, Kind>> = {
  'hand-speed': 'fast',
  'repeat-rate': 'fast',
  'shared-string': 'fast',
  leap: 'fast',
  'pedal-time': 'feet',
  'wrong-pedal': 'feet',
  clash: 'feet',
  span: 'hands',
  'four-fingers': 'hands',
  reach: 'hands',
};

/** Sounding bars below which nothing is said of the whole. */
const FEW_BARS = 8;
/** Bars in a hundred with something that cannot be done: published parts have 38 at most, and that one is of 13 bars. */
const MANY_ERRORS = 45;
/** Bars in a hundred with a remark on speed: published parts have 75 at most, read at a tempo that nobody wrote. */
const MOSTLY_FAST = 80;

/** How many times faster than its limit a remark is, in hundredths; 0 where that is no matter of numbers. */
function excess({ value, limit }: Problem): number {
  if (typeof value !== 'number' || typeof limit !== 'number' || value <= 0 || limit <= 0) return 0;
  return Math.floor((100 * Math.max(value, limit)) / Math.min(value, limit));
}

/** A tempo slower than the part's by more than this (in hundredths) is no advice. */
const MOST_SLOWING = 220;

/** The tempo in force over most bars with notes; the default where nobody wrote one. */
function usualTempo(passage: Passage, bars: ReadonlySet<number>): number {
  const counts = new Map<number, number>();
  let next = 0;
  let now = DEFAULT_MILLI_BPM;
  for (const bar of passage.bars) {
    while ((passage.tempo[next]?.onset ?? Infinity) <= bar.start)
      now = passage.tempo[next++]?.milliBpm ?? now;
    if (bars.has(bar.index)) counts.set(now, (counts.get(now) ?? 0) + 1);
  }
  return [...counts].sort(([a, m], [b, n]) => n - m || a - b)[0]?.[0] ?? now;
}

const median = (sorted: readonly number[]): number | undefined => sorted[sorted.length >> 1];

/**
 * What to say of the whole where a part is no harp music as it stands: most of its bars are too fast, or nearly half
 * of them hold what cannot be done. Code `part-unsuited`, a warning at the first note; `value` counts the bars
 * concerned, `limit` those with notes; `kind` `fast` (with the tempo, and the one at which half of these bars
 * would do), `feet` (letters change faster than feet) or `hands` (more notes or wider than a hand). Null for all
 * other parts. `problems` are those of the passage, judged by every rule. Pure; linear in both.
 */
export function unsuited(problems: readonly Problem[], passage: Passage): Problem | null {
  const { bars } = passage;
  if (bars.length === 0) return null;
  const barOf = (at: Ticks): number => barAt(bars, at).index;
  const sounding = new Set<number>();
  for (const list of [passage.plucks, passage.sweeps, passage.trembles])
    for (const x of list) sounding.add(barOf(x.onset));
  if (sounding.size < FEW_BARS) return null;
  const wrong: Record<Kind, Set<number>> = { fast: new Set(), feet: new Set(), hands: new Set() };
  const errors = new Set<number>();
  const worst = new Map<number, number>();
  const barsOf = barsConcerned(passage);
  for (const p of problems) {
    const kind = KINDS[p.code];
    if (kind === undefined) continue;
    for (const bar of barsOf(p)) {
      if (p.severity === 'error') errors.add(bar);
      if (kind === 'fast' || p.severity === 'error') wrong[kind].add(bar);
      if (kind === 'fast') worst.set(bar, Math.max(worst.get(bar) ?? 0, excess(p)));
    }
  }
  const many = 100 * errors.size >= MANY_ERRORS * sounding.size;
  const fast = 100 * wrong.fast.size >= MOSTLY_FAST * sounding.size;
  if (!many && !fast) return null;
  // What stands in the way of most bars; of equals speed first, which slowing down could mend.
  const kind = (['fast', 'feet', 'hands'] as const).reduce((a, b) => (wrong[b].size > wrong[a].size ? b : a));
  const tempo = usualTempo(passage, sounding);
  const ratio = median([...worst.values()].sort((a, b) => a - b));
  const first = Math.min(
    ...[passage.plucks, passage.sweeps, passage.trembles].flatMap((list) => list[0]?.onset ?? []),
  );
  return {
    code: 'part-unsuited',
    severity: 'warning',
    where: { kind: 'music', onset: first as Ticks, ids: [] },
    value: wrong[kind].size,
    limit: sounding.size,
    unit: 'bars',
    source: 'common practice',
    detail: {
      kind,
      tempo: Math.round(tempo / 1000),
      ...(passage.tempo.length === 0 ? { assumed: 1 } : {}),
      ...(kind === 'fast' && ratio !== undefined && ratio > 100 && ratio <= MOST_SLOWING
        ? { slower: Math.floor(tempo / (10 * ratio)) }
        : {}),
    },
  };
}
