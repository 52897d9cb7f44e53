/** Where a part is silent: long rests, and bars in which nobody plays. */

import { type Ticks, ticks } from '../../../base/units';
import { barTicks } from '../../../music/metre';
import { type Passage, passageEnd } from '../../../music/passage';

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

/** Runs of at least two bars, by index, in which nothing sounds; `stop` names bars that begin no run's inside. */
export function restRuns(
  passage: Passage,
  stop: (bar: number) => boolean,
): { first: number; count: number }[] {
  const busy = new Set<number>();
  const notes = played(passage);
  passage.bars.forEach((bar, i) => {
    if (notes.some((note) => note.onset < bar.start + bar.length && note.end > bar.start)) busy.add(i);
  });
  const out: { first: number; count: number }[] = [];
  let first = 0;
  const end = passageEnd(passage) === 0 ? 0 : passage.bars.length;
  for (let i = 0; i <= end; i++) {
    const ends = i === end || busy.has(i) || stop(i);
    if (!ends) continue;
    if (i - first >= 2) out.push({ first, count: i - first });
    first = i < end && !busy.has(i) ? i : i + 1;
  }
  return out;
}
