/** How a figure closes: one of its endings, played once, whose last stroke rings to the end of the chord. */

import type { Random } from '../base/random';
import { type Ticks, ticks } from '../base/units';
import type { Cell, Step } from './language';

export interface TimedStep {
  readonly onset: Ticks;
  readonly duration: Ticks;
  readonly step: Step;
}

/**
 * One of the endings that take at most half of the last chord's steps, so that it thins, and whose run fills whole
 * beats of `beatSteps` steps, so that its last stroke falls on one; else the shortest.
 */
export function pickEnding(endings: readonly Cell[], steps: number, beatSteps: number, random: Random): Cell {
  const onBeat = (run: number): boolean => beatSteps <= 1 || run % beatSteps === 0;
  const runs = endings.filter((e) => e.length > 1 && 2 * e.length <= steps + 2 && onBeat(e.length - 1));
  const plain = endings.filter((e) => e.length === 1);
  // As many runs as plain closes, however many are written.
  if (runs.length > 0 && (plain.length === 0 || random.chance(1, 2))) return random.pick(runs);
  if (plain.length > 0) return random.pick(plain);
  return endings.reduce((a, b) => (b.length < a.length ? b : a));
}

/**
 * Times of an ending from `onset`, filling `duration` ticks: steps of one length, but the last stroke waits
 * for the next felt beat if there is room for it, and holds to the end.
 */
export function timeEnding(
  cell: Cell,
  onset: number,
  duration: number,
  step: number,
  beat: number,
): TimedStep[] {
  const count = cell.length;
  const pace = count * step > duration ? Math.floor(duration / count) : step;
  const out: TimedStep[] = [];
  cell.forEach((s, i) => {
    let at = i * pace;
    if (i === count - 1 && i > 0) {
      const onBeat = Math.ceil(at / beat) * beat;
      if (onBeat < duration) at = onBeat;
    }
    out.push({ onset: ticks(onset + at), duration: ticks(0), step: s });
  });
  return out.map((t, i) => ({
    ...t,
    duration: ticks((out[i + 1]?.onset ?? onset + duration) - t.onset),
  }));
}
