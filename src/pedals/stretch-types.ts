/** What a search between two nodes stands at, what it is asked, and what a foot may do at an instant. */

import type { Setting } from '../harp/setting';
import type { Reached } from './feet';

/** Moves in a chain, the last first. */
export interface Step {
  readonly pedal: number;
  readonly from: number;
  readonly to: number;
  readonly at: number;
  readonly foot: 0 | 1;
  readonly before: Step | null;
}

/** Where a search stands between two nodes: some moves of the stretch are made, the last at `now`. */
export interface State<L> extends Reached {
  readonly label: L;
  readonly setting: Setting;
  readonly steps: Step | null;
  /** Price and bound of the rest. */
  readonly total: number;
  readonly now: number;
  readonly micros: number;
  /** Pedals moved since the node, as bits. */
  readonly moved: number;
  /** Pedals held, and pedals struck at the node itself, as bits. */
  readonly lock: number;
  readonly fresh: number;
  /** Pedals that moved at the node itself, before it: they do not move at that instant again, by either foot. */
  readonly just: number;
  /** Another state has all its freedom for less. */
  dead: boolean;
}

/** The stretch from one node to the next. */
export interface Stretch {
  readonly at: number;
  readonly release: number;
  readonly until: number;
  /** Positions worth moving to, as bits by pedal. */
  readonly useful: Uint8Array;
  /** Least price of the rest once a setting is reached. */
  rest(setting: Setting): number;
  /** Whether a plan that costs so much is looked for; what is left out is remembered. */
  within(total: number): boolean;
}

/** What one foot does at one instant: one pedal, or two neighbours in an emergency. */
export interface Action {
  readonly pedals: readonly (readonly [pedal: number, from: number, to: number])[];
  /** Ticks at which it may be worth doing, ascending, and its points at each; Infinity where it cannot be done. */
  readonly ticks: readonly number[];
  readonly points: readonly number[];
  readonly least: number;
  /** What it adds to the setting. */
  readonly change: number;
  readonly bits: number;
  readonly last: number;
}

/** Ticks and points of one pedal's move in a stretch, its foot left out. */
export interface Choices {
  readonly ticks: readonly number[];
  readonly points: readonly number[];
  readonly least: number;
}

export interface Limits {
  readonly limit: number;
  readonly burst: number;
  overlook(total: number): boolean;
}
