/** How a figure closes: one of its endings, played once, whose last stroke rings to the end of the chord. */

import type { Random } from '../base/random';
import { type Ticks, ticks } from '../base/units';
import type { Cell, Step } from './cells';

export interface TimedStep {
  readonly onset: Ticks;
  readonly duration: Ticks;
  readonly step: Step;
}

/** Endings that suit a chord: runs, and closes of one stroke. At least one of either. */
export interface EndingChoice {
  readonly runs: readonly Cell[];
  readonly plain: readonly Cell[];
}

/**
 * The endings that take at most half of the last chord's steps, so that it thins, and whose run fills whole
 * beats of `beatSteps` steps, so that its last stroke falls on one; where there is none, the shortest.
 */
export function openEndings(endings: readonly Cell[], steps: number, beatSteps: number): EndingChoice {
  const onBeat = (run: number): boolean => beatSteps <= 1 || run % beatSteps === 0;
  const runs = endings.filter((e) => e.length > 1 && 2 * e.length <= steps + 2 && onBeat(e.length - 1));
  const plain = endings.filter((e) => e.length === 1);
  if (runs.length + plain.length > 0) return { runs, plain };
  return { runs: [], plain: [endings.reduce((a, b) => (b.length < a.length ? b : a))] };
}

/** One of them: as many runs as plain closes, however many are written. */
export function drawEnding({ runs, plain }: EndingChoice, random: Random): Cell {
  if (runs.length > 0 && (plain.length === 0 || random.chance(1, 2))) return random.pick(runs);
  return random.pick(plain);
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
