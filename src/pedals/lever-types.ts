/** What a lever plan is asked and what it answers: one lever a string, moved by the left hand. */

import type { Problem } from '../base/problem';
import type { Ticks } from '../base/units';
import type { LeverHarp } from '../harp/instrument';
import { keySetting, positionOf } from '../harp/setting';
import { type StringIndex, stringLetter } from '../harp/strings';
import type { Passage } from '../music/passage';
import type { Position } from '../harp/setting';

/** A lever is down (the string as it is tuned) or up (a semitone higher). */
export type Lever = 0 | 1;

/** One lever put up or down by the left hand; it stands anew at `onset`. */
export interface LeverMove {
  readonly onset: Ticks;
  readonly string: StringIndex;
  readonly to: Lever;
}

/** The left hand's way to a lever and back, in microseconds. */
export interface LeverTimes {
  /** From its last stroke, or from the lever before (and the way back from it), to a lever that stands. */
  readonly reach: number;
  /** From a lever that stands to the hand's next stroke. */
  readonly back: number;
}

export interface LeverOptions {
  readonly harp: LeverHarp;
  /** Strings whose levers are up before the first note; null leaves all of them free. */
  readonly start: readonly StringIndex[] | null;
  readonly keepSpelling: boolean;
  readonly times: LeverTimes;
  /** A limit on work: labels kept at one instant. */
  readonly workLimit?: number;
}

export interface LeverPlan {
  /** Respelt: the string of each pitch is the one that is plucked. */
  readonly passage: Passage;
  readonly harp: LeverHarp;
  /** Strings of the passage whose levers are up at first. */
  readonly start: readonly StringIndex[];
  /** Sorted by onset. */
  readonly moves: readonly LeverMove[];
}

export type LeverAnswer =
  | {
      /** `planned` where the limit on work was hit. */
      readonly status: 'optimal' | 'planned';
      readonly plan: LeverPlan;
      readonly price: { readonly moves: number; readonly respelt: number };
      /** The fewest moves with time left out: no plan has fewer. */
      readonly lowerBound: number;
      readonly problems: readonly Problem[];
    }
  | {
      readonly status: 'unplayable';
      /** Notes and sweeps that cannot all be played; none can be dropped. */
      readonly conflict: readonly string[];
      readonly problems: readonly Problem[];
    };

/** Four tenths of a second for a lever in all, most of it the way there (common practice). */
export const LEVER_TIMES: LeverTimes = { reach: 300_000, back: 100_000 };

/** The inflection of a string with its lever down. */
export const openPosition = (harp: LeverHarp, string: StringIndex): Position =>
  positionOf(keySetting(harp.levers), stringLetter(string));
