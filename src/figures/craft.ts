/** Craft in whole points, lower is better: what an ear and a hand would grumble at. Terms in README.md. */

import { TICKS_PER_QUARTER } from '../base/units';
import { stringOf } from '../harp/strings';
import type { Passage } from '../music/passage';
import { midiOf } from '../music/pitch';
import { passageEnd } from '../music/passage';
import { lineCost } from './voicing';

/** Sounding events a second that feel neither empty nor crowded, in tenths. Common practice. */
const EASY_DENSITY = { least: 8, most: 80 } as const;
const C3 = 48;

/** Points for a passage whose chords stand at these onsets. */
export function craftOf(passage: Passage, changes: readonly number[]): Record<string, number> {
  const bars = Math.max(1, passage.bars.length);
  const tops: number[] = [];
  const basses: number[] = [];
  for (let i = 0; i < changes.length; i++) {
    const [from, to] = [changes[i] as number, changes[i + 1] ?? Infinity];
    const within = (x: { readonly onset: number }): boolean => x.onset >= from && x.onset < to;
    const inside = [
      ...passage.plucks.filter(within),
      ...passage.trembles.filter(within).flatMap((t) => t.notes),
    ].map((n) => midiOf(n.pitch));
    if (inside.length === 0) continue;
    tops.push(Math.max(...inside));
    basses.push(Math.min(...inside));
  }
  const steps = (line: readonly number[]): number[] => line.slice(1).map((m, i) => m - (line[i] as number));
  const topMotion = steps(tops).reduce((sum, s) => sum + lineCost(s), 0);
  const leaps = steps(basses).filter((s) => Math.abs(s) > 9).length;

  let lowThirds = 0;
  for (let i = 1; i < passage.plucks.length; i++) {
    const [a, b] = [passage.plucks[i - 1], passage.plucks[i]];
    if (a === undefined || b === undefined || a.onset !== b.onset) continue;
    const low = midiOf(a.pitch);
    if (low < C3 && midiOf(b.pitch) - low < 5) lowThirds++;
  }

  let repeats = 0;
  const last = new Map<number, number>();
  for (const p of passage.plucks) {
    const s = stringOf(p.pitch);
    const before = last.get(s);
    if (before !== undefined && p.onset - before < TICKS_PER_QUARTER / 2) repeats++;
    last.set(s, p.onset);
  }

  const onsets = new Set(passage.plucks.map((p) => p.onset)).size + 2 * passage.sweeps.length;
  const milliBpm = passage.tempo[0]?.milliBpm ?? 90_000;
  const tenths = Math.floor(
    (onsets * 10 * milliBpm * TICKS_PER_QUARTER) / (60_000 * Math.max(1, passageEnd(passage))),
  );
  const density =
    passage.trembles.length > 0
      ? 0
      : Math.max(0, EASY_DENSITY.least - tenths, tenths - EASY_DENSITY.most) >> 1;
  // Per eight bars, so that a long passage is not dearer for its length.
  const perEight = (n: number): number => Math.floor((8 * n) / bars);
  return {
    topMotion: perEight(topMotion) >> 1,
    leaps: perEight(leaps),
    lowThirds: perEight(4 * lowThirds),
    repeats: perEight(repeats) >> 1,
    density,
  };
}
