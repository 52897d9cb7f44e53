/** Where a part is silent: long rests, and bars in which nobody plays. */

import { type Ticks, ticks } from '../../../base/units';
import { barTicks } from '../../../music/metre';
import type { Passage } from '../../../music/passage';

interface Played {
  readonly onset: Ticks;
  readonly end: Ticks;
}

function played(passage: Passage): Played[] {
  return [...passage.plucks, ...passage.sweeps, ...passage.trembles]
    .map(({ onset, duration }) => ({ onset, end: ticks(onset + duration) }))
    .sort((a, b) => a.onset - b.onset);
}

/** Every onset once, in order. */
export const playedOnsets = (passage: Passage): Ticks[] => [
  ...new Set(played(passage).map(({ onset }) => onset)),
];

export interface Silence {
  readonly from: Ticks;
  readonly to: Ticks;
}

/** Silences between notes, and before the first. The written lengths count, not how long strings ring. */
export function silences(passage: Passage): Silence[] {
  const out: Silence[] = [];
  let end = ticks(0);
  for (const note of played(passage)) {
    if (note.onset > end) out.push({ from: end, to: note.onset });
    end = ticks(Math.max(end, note.end));
  }
  return out;
}

/** A rest is long from so many of the bars in which it lies (common practice). */
const LONG_BARS = 2;

/** Rests of two bars and more that come after music. */
export function longRests(passage: Passage): Silence[] {
  const bar = passage.bars[0];
  if (bar === undefined) return [];
  return silences(passage).filter(
    (rest) => rest.from > 0 && rest.to - rest.from >= LONG_BARS * barTicks(bar.metre),
  );
}

/** Runs of at least two bars, by index, in which nothing sounds; bars that are `apart` are in none, `begins` start one. */
export function restRuns(
  passage: Passage,
  apart: ReadonlySet<number>,
  begins: ReadonlySet<number>,
): { first: number; count: number }[] {
  const notes = played(passage);
  const out: { first: number; count: number }[] = [];
  let first = 0;
  let count = 0;
  const flush = (): void => {
    if (count >= 2) out.push({ first, count });
    count = 0;
  };
  passage.bars.forEach((bar, i) => {
    const busy = notes.some((note) => note.onset < bar.start + bar.length && note.end > bar.start);
    if (busy || apart.has(i) || begins.has(i)) flush();
    if (busy || apart.has(i)) return;
    if (count === 0) first = i;
    count++;
  });
  flush();
  return out;
}
