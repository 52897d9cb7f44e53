/** The stops of a passage under one tuning, with the untimed problem that bounds every plan of them. */

import { settingDistance } from '../harp/setting';
import type { Passage } from '../music/passage';
import { stopsOf } from './demands';
import type { Stop, Tuning } from './demand-types';
import { type PlanFrame, endOf } from './frame';
import { ratesOf } from './rates';
import { tuningsFor } from './tuning';
import type { PlanOptions } from './types';
import {
  type Backward,
  type Chain,
  type UntimedPath,
  type UntimedWeights,
  backward,
  forward,
} from './untimed';

/** So large that one move outweighs everything that breaks ties. */
export const MOVE_DECIDES = 1 << 26;

/** What the untimed problem minimises, by aim. */
function weightsOf(options: PlanOptions): UntimedWeights {
  const { move, second, gesture } = ratesOf(options);
  if (options.aim === 'fewest') return { move: MOVE_DECIDES, second, spelling: 1 };
  // Each move costs half a gesture at the least, since a gesture has at most one for each foot.
  return { move: move + Math.floor(gesture / 2), second, spelling: 1 };
}
export const MOVES_ONLY: UntimedWeights = { move: 1, second: 0, spelling: 0 };

export const chainOf = (
  stops: readonly Stop[],
  { options, near }: PlanFrame,
  weights: UntimedWeights,
): Chain => ({
  layers: stops,
  start: options.start,
  near,
  end: endOf(options),
  weights,
});

/** The untimed problem by the weights of the aim, and its cheapest path. */
export interface Core {
  readonly chain: Chain;
  readonly back: Backward;
  readonly path: UntimedPath;
}

export interface Draft {
  readonly tuning: Tuning;
  readonly stops: readonly Stop[];
  /** No plan has fewer moves. */
  readonly leastMoves: number;
  /** Found when first asked for. */
  core(): Core;
}

/** By least moves; none where no tuning serves every stop. */
export function draftsOf(passage: Passage, frame: PlanFrame): Draft[] {
  const { options } = frame;
  const drafts: Draft[] = [];
  for (const tuning of tuningsFor(passage, options)) {
    const stops = stopsOf(passage, options, tuning);
    if (stops.some((s) => s.options.length === 0)) continue;
    const cheapest = (weights: UntimedWeights): Core | null => {
      const chain = chainOf(stops, frame, weights);
      const back = backward(chain);
      const path = forward(chain, back, settingDistance);
      return path === null ? null : { chain, back, path };
    };
    let core: Core | null = null;
    let leastMoves: number | null;
    if (options.aim === 'fewest') {
      core = cheapest(weightsOf(options));
      leastMoves = core === null ? null : Math.floor(core.path.price / MOVE_DECIDES);
    } else {
      const chain = chainOf(stops, frame, MOVES_ONLY);
      leastMoves = leastOf(chain, backward(chain));
    }
    if (leastMoves === null) continue;
    drafts.push({
      ...{ tuning, stops, leastMoves },
      core: () => (core ??= cheapest(weightsOf(options)) as Core),
    });
  }
  return drafts.sort((a, b) => a.leastMoves - b.leastMoves);
}

/** The least untimed price, without the path; null where nothing serves. */
function leastOf({ start }: Chain, back: Backward): number | null {
  if (!back.possible) return null;
  const least = start === null ? back.base(0) : back.rest(0, start);
  return Number.isFinite(least) ? least : null;
}
