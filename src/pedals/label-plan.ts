/** A label, a plan so far, and the plan that a last label stands for. */

import { type Foot, PEDALS, type Position, type Setting } from '../harp/setting';
import type { Move } from '../harp/planned';
import type { Letter } from '../music/pitch';
import type { Option } from './demand-types';
import type { FootState } from './feet';
import type { Node } from './nodes';
import type { Step } from './stretch-types';

export interface Label {
  readonly setting: Setting;
  readonly price: number;
  readonly left: FootState;
  readonly right: FootState;
  readonly option: Option | null;
  readonly steps: Step | null;
  readonly parent: Label | null;
  /** Price and bound of the rest. */
  readonly total: number;
}

export interface LabelPlan {
  readonly start: Setting;
  readonly options: readonly Option[];
  readonly moves: readonly Move[];
  readonly price: number;
  /** By stop: price and bound once it was served, less the raises. */
  readonly totals: readonly number[];
}

const FOOT_NAMES: readonly Foot[] = ['left', 'right'];

/** The plan that a last label stands for: its options and moves from the first on. */
export function readBack(last: Label, nodes: readonly Node[], raises?: Float64Array): LabelPlan {
  const path: Label[] = [];
  for (let label: Label | null = last; label !== null; label = label.parent) path.push(label);
  path.reverse();
  const options: Option[] = [];
  const moves: Move[] = [];
  const totals: number[] = [];
  path.forEach((label, i) => {
    for (let step = label.steps; step !== null; step = step.before) {
      moves.push({
        onset: step.at as Move['onset'],
        letter: PEDALS[step.pedal] as Letter,
        from: (step.from - 1) as Position,
        to: (step.to - 1) as Position,
        foot: FOOT_NAMES[step.foot] as Foot,
      });
    }
    const stop = nodes[i]?.stop ?? -1;
    if (stop < 0) return;
    options.push(label.option as Option);
    totals.push(label.total - (raises?.[stop + 1] ?? 0));
  });
  moves.sort((a, b) => a.onset - b.onset || PEDALS.indexOf(a.letter) - PEDALS.indexOf(b.letter));
  return { start: (path[0] as Label).setting, options, moves, price: last.price, totals };
}
