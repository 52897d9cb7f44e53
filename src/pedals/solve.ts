/** Solving: the cheapest spelling and settings untimed, scheduled for two feet, with the bound that proves it. */

import { type Ticks, ticks } from '../base/units';
import type { Move } from '../harp/planned';
import { type Position, type Setting, settingDistance } from '../harp/setting';
import { stringOf } from '../harp/strings';
import { type Passage, passageEnd } from '../music/passage';
import { clockOf } from './clock';
import { type Stop, type Tuning, openSpellings, stopsOf } from './demands';
import { RATES, comfortableTime } from './foot-times';
import { keySetting } from './glissando';
import { type ScheduleFrame, scheduleMoves } from './schedule';
import { ALL_FREE, restrictSetting } from './tables';
import type { FootTimes, PedalPrice, PlanOptions } from './types';
import { type Chain, type UntimedPath, type UntimedWeights, backward, forward } from './untimed';
import { jobsOf } from './windows';

/** So large that one move outweighs everything that breaks ties. */
const MOVE_DECIDES = 1 << 26;

/** Untimed weights. A move counts half a gesture at least, since one foot can join one other foot. */
const WEIGHTS: Readonly<Record<PlanOptions['aim'], UntimedWeights>> = {
  practical: { move: RATES.move + RATES.gesture / 2, second: RATES.second, respelt: RATES.respelt },
  fewest: { move: MOVE_DECIDES, second: RATES.second, respelt: RATES.respelt },
};
const MOVES_ONLY: UntimedWeights = { move: 1, second: 0, respelt: 0 };

/** A plan of the stops: which option serves each, and the moves. */
export interface Solution {
  readonly stops: readonly Stop[];
  readonly tuning: Tuning;
  readonly start: Setting;
  readonly options: UntimedPath['options'];
  readonly moves: readonly Move[];
  /** True where no plan can have a lower price by the aim. */
  readonly proven: boolean;
  readonly leastMoves: number;
}

/** Tunings of the discless strings that the passage touches, the default first. */
export function tuningsFor(passage: Passage, options: PlanOptions): Tuning[] {
  const { discless, disclessDefault } = options.instrument;
  if (discless.length === 0) return [{}];
  const wanted = new Map<number, Map<Position, number>>();
  const vote = (string: number, position: Position, weight: number): void => {
    if (!discless.includes(string)) return;
    const votes = wanted.get(string) ?? new Map<Position, number>();
    votes.set(position, (votes.get(position) ?? 0) + weight);
    wanted.set(string, votes);
  };
  const top = Math.max(...discless) + 2;
  for (const note of [...passage.plucks, ...passage.trembles.flatMap((t) => t.notes)]) {
    if (stringOf(note.pitch) > top) continue;
    openSpellings(note, options).forEach((p, i) => vote(stringOf(p), p.alter as Position, i === 0 ? 1 : 0));
  }
  for (const sweep of passage.sweeps) {
    for (const string of discless) {
      if (string < Math.min(sweep.from, sweep.to) || string > Math.max(sweep.from, sweep.to)) continue;
      for (const position of [0, -1, 1] as const) vote(string, position, 0);
    }
  }
  let tunings: Tuning[] = [{}];
  for (const [string, votes] of [...wanted.entries()].sort((a, b) => a[0] - b[0])) {
    const positions = [...votes.keys()].sort(
      (a, b) =>
        (votes.get(b) as number) - (votes.get(a) as number) ||
        Math.abs(a - disclessDefault) - Math.abs(b - disclessDefault) ||
        a - b,
    );
    tunings = tunings.flatMap((t) => positions.map((p) => ({ ...t, [string]: p })));
  }
  return tunings;
}

/** What all stages of one plan share. */
export interface PlanFrame extends ScheduleFrame {
  readonly options: PlanOptions;
  readonly begin: Ticks;
  readonly finish: Ticks;
  readonly near: Setting;
}

export function frameOf(passage: Passage, options: PlanOptions): PlanFrame {
  const last = Math.max(passageEnd(passage), passage.plucks.at(-1)?.onset ?? 0);
  return {
    clock: clockOf(passage.tempo),
    bars: passage.bars,
    times: options.times,
    options,
    begin: ticks(0),
    finish: ticks(last),
    near: options.start ?? keySetting(passage.fifths),
  };
}

const everyPedal = 127;
const chainOf = (stops: readonly Stop[], options: PlanOptions, weights: UntimedWeights): Chain => ({
  layers: stops,
  start: options.start,
  end: options.end === null ? ALL_FREE : restrictSetting(options.end, everyPedal),
  weights,
});

function untimedPath(stops: readonly Stop[], frame: PlanFrame, weights: UntimedWeights): UntimedPath | null {
  const chain = chainOf(stops, frame.options, weights);
  return forward(chain, backward(chain), frame.near, settingDistance);
}

/** `feasible` asks only whether any plan exists. */
export type Goal = 'cheapest' | 'feasible';

/** Solves one passage: the best tuning first, untimed, then in time. Null where no plan exists. */
export function solve(passage: Passage, frame: PlanFrame, _goal: Goal): Solution | null {
  const { options } = frame;
  const tried = tuningsFor(passage, options)
    .map((tuning) => {
      const stops = stopsOf(passage, options, tuning);
      if (stops.some((s) => s.options.length === 0)) return null;
      const path = untimedPath(stops, frame, WEIGHTS[options.aim]);
      return path === null ? null : { tuning, stops, path };
    })
    .filter((x) => x !== null)
    .sort((a, b) => a.path.price - b.path.price);
  const first = tried[0];
  if (first === undefined) return null;
  const countMoves = (stops: readonly Stop[]): number => untimedPath(stops, frame, MOVES_ONLY)?.price ?? 0;
  const bound = (path: UntimedPath, stops: readonly Stop[]): number =>
    options.aim === 'fewest' ? Math.floor(path.price / MOVE_DECIDES) : countMoves(stops);
  const leastMoves = Math.min(...tried.map((t) => bound(t.path, t.stops)));
  for (const { tuning, stops, path } of tried) {
    const jobs = jobsOf(stops, path.options, path.start, options.end, frame.begin, frame.finish);
    const moves = scheduleMoves(jobs, frame);
    if (moves !== null) {
      return {
        stops,
        tuning,
        start: path.start,
        options: path.options,
        moves,
        proven: options.aim === 'fewest' && path === first.path,
        leastMoves,
      };
    }
  }
  return null;
}

/** Gestures: instants at which a foot moves; one left and one right together are one. */
export function priceOf(
  moves: readonly Move[],
  respelt: number,
  times: FootTimes,
  frame: Pick<ScheduleFrame, 'clock'>,
): PedalPrice {
  let [positions, hasty] = [0, 0];
  const last: Partial<Record<Move['foot'], Move>> = {};
  const instants = new Set<number>();
  for (const move of moves) {
    const travelled = Math.abs(move.to - move.from);
    positions += travelled;
    instants.add(move.onset);
    const prior = last[move.foot];
    if (prior !== undefined) {
      const gap = frame.clock.microsAt(move.onset) - frame.clock.microsAt(prior.onset);
      if (gap < comfortableTime(times, prior.letter, move.letter, travelled)) hasty++;
    }
    last[move.foot] = move;
  }
  return { moves: moves.length, gestures: instants.size, positions, hasty, respelt };
}
