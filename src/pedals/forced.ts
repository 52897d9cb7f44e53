/** Where time forces more moves than the notes alone need: the shortest stretches of bars that show it. */

import type { Bar } from '../music/metre';
import type { Passage } from '../music/passage';
import { restrict } from './items';
import { planPassage } from './plan';
import type { PlanOptions } from './types';

/** Bars from one printed number to another in which the feet, having the time they have, move more than they must. */
export interface ForcedBars {
  readonly from: string;
  readonly to: string;
  /** Moves that more time would save within these bars. */
  readonly moves: number;
}

/** The tempo is divided by this, so that time forbids nothing. */
const SLOW = 100;
/** Longest stretch that is looked at, in bars, and most bars altogether. */
const LONGEST = 8;
const MOST_BARS = 400;

const slowed = (passage: Passage): Passage => {
  const changes = passage.tempo.length === 0 ? [{ onset: 0, milliBpm: 90_000 }] : passage.tempo;
  const tempo = changes.map((t) => ({ ...t, milliBpm: Math.max(1, Math.floor(t.milliBpm / SLOW)) }));
  return { ...passage, tempo: tempo as unknown as Passage['tempo'] };
};

/** Least moves under the time there is, less those with all the time in the world; 0 where there is no plan. */
function excess(passage: Passage, options: PlanOptions): number {
  const least = { ...options, aim: 'fewest', explain: false } as const;
  const timed = planPassage(passage, least);
  const untimed = planPassage(slowed(passage), least);
  if (timed.status !== 'optimal' || untimed.status === 'unplayable') return 0;
  return Math.max(0, timed.price.moves - untimed.price.moves);
}

/**
 * Stretches of bars, none within another, in which the fewest moves in time are more than the fewest untimed; empty
 * where time forces nothing, or what it forces shows in no stretch of eight bars. Proven plans alone are compared.
 */
export function forcedBars(passage: Passage, options: PlanOptions): ForcedBars[] {
  if (passage.bars.length === 0 || passage.bars.length > MOST_BARS || excess(passage, options) === 0)
    return [];
  const free = { ...options, start: null, end: null };
  const { bars } = passage;
  const out: ForcedBars[] = [];
  const taken = new Set<number>();
  for (let length = 1; length <= Math.min(LONGEST, bars.length); length++) {
    for (let i = 0; i + length <= bars.length; i++) {
      if (Array.from({ length }, (_, k) => i + k).some((k) => taken.has(k))) continue;
      const [first, last] = [bars[i] as Bar, bars[i + length - 1] as Bar];
      const end = last.start + last.length;
      const within = (x: { readonly onset: number }): boolean => x.onset >= first.start && x.onset < end;
      const ids = [...passage.plucks, ...passage.sweeps, ...passage.trembles].filter(within).map((x) => x.id);
      const notes = passage.trembles.filter(within).flatMap((t) => t.notes.map((n) => n.id));
      const moves = excess(restrict(passage, new Set([...ids, ...notes])), free);
      if (moves === 0) continue;
      for (let k = i; k < i + length; k++) taken.add(k);
      out.push({ from: first.number, to: last.number, moves });
    }
  }
  return out.sort(
    (a, b) => bars.findIndex((x) => x.number === a.from) - bars.findIndex((x) => x.number === b.from),
  );
}

/** 'Time forces more moves than the notes need in bar 3: slower, fewer would do.' */
export const forcedSentence = (forced: readonly ForcedBars[]): string =>
  `Time forces more moves than the notes need in ${forcedWords(forced)}: slower, fewer would do.`;

/** 'bar 3 and bars 5 to 6'. */
export function forcedWords(forced: readonly ForcedBars[]): string {
  const names = forced.map(({ from, to }) => (from === to ? `bar ${from}` : `bars ${from} to ${to}`));
  return names.length < 2 ? names.join('') : `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`;
}
