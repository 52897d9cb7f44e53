/** What a repair is: small edits of a part, each tried before it is offered, and the answer that lists them. */

import type { Problem } from '../../base/problem';
import type { Ticks } from '../../base/units';
import type { PlannedPassage } from '../../harp/planned';
import type { Position } from '../../harp/setting';
import type { Hand } from '../../music/passage';
import type { Letter, Pitch } from '../../music/pitch';
import type { PartToCheck } from '../check';

/** Kinds of repair, the least change first. */
export const REPAIR_KINDS = [
  'respell',
  'pedal',
  'drop',
  'hand',
  'octave',
  'roll',
  'split',
  'homophone',
  'thin',
  'slow',
  'second-harp',
  'ossia',
] as const;
export type RepairKind = (typeof REPAIR_KINDS)[number];

/** One change of one thing. Edits name notes by id, so any set of them means the same in any order. */
export type Edit =
  /** Another spelling, or another octave. */
  | { readonly kind: 'pitch'; readonly id: string; readonly to: Pitch }
  /** A pluck, a sweep, a tremble or one of its notes goes. */
  | { readonly kind: 'leave-out'; readonly id: string }
  /** A pluck, a sweep or a note of a tremble goes to this hand. */
  | { readonly kind: 'hand'; readonly id: string; readonly to: Hand }
  /** These plucks of one onset are rolled upwards. */
  | { readonly kind: 'roll'; readonly ids: readonly string[] }
  /** A pluck comes at another time; it ends where it ended. */
  | { readonly kind: 'onset'; readonly id: string; readonly to: Ticks }
  /** Other ends of a sweep, as string indices. */
  | { readonly kind: 'sweep'; readonly id: string; readonly from: number; readonly to: number }
  /** From `from` to `to` the tempo is at most this many thousandths of what is written. */
  | { readonly kind: 'tempo'; readonly from: Ticks; readonly to: Ticks; readonly permille: number }
  /** A pedal mark goes. */
  | { readonly kind: 'move-out'; readonly onset: Ticks; readonly letter: Letter }
  /** A pedal mark is added. */
  | { readonly kind: 'move-in'; readonly onset: Ticks; readonly letter: Letter; readonly to: Position }
  /** A pedal is set otherwise before the first note. */
  | { readonly kind: 'opening'; readonly letter: Letter; readonly to: Position };

/** Edits that make sense only together, under one name. */
export interface Step {
  readonly kind: RepairKind;
  readonly edits: readonly Edit[];
  /** What is lost, in points: by kind, and by what the ear would miss (weights.ts). */
  readonly loss: number;
}

/** A way to be rid of one or more errors. */
export interface Repair {
  /** 'm3' for the one that is applied, 'm3b', 'm3c' for the others offered at its place. Stable for the same part. */
  readonly id: string;
  /** The place of the first error that it mends. */
  readonly onset: Ticks;
  /** Codes of the errors that it mends. */
  readonly codes: readonly string[];
  /** Notes, sweeps and moves that the errors name. */
  readonly ids: readonly string[];
  readonly steps: readonly Step[];
  readonly loss: number;
  /**
   * Repairs without which this one does not hold, by id: with them it was tried on the whole part, and by itself it
   * did not suffice. Empty where it holds by itself.
   */
  readonly needs: readonly string[];
}

/** The errors at one place, and what could be done, the least loss first; `repairs[0]` is the one applied. */
export interface Mending {
  readonly onset: Ticks;
  readonly problems: readonly Problem[];
  readonly repairs: readonly Repair[];
}

export interface MendAnswer {
  readonly mendings: readonly Mending[];
  /** Ids of the repairs that together leave no error, in the order of the part. */
  readonly chosen: readonly string[];
  /** Repairs of a long part that there was no time to try; they are not offered. */
  readonly untried: number;
  /** The part with the chosen repairs. */
  readonly part: PartToCheck;
  readonly planned: PlannedPassage;
  /** Errors that are beyond repair; empty but for parts outside every rule. */
  readonly remaining: readonly Problem[];
}

export interface MendOptions {
  /** The file or the user says which hand plays what; else the search for hands is free and no hand is changed. */
  readonly handsGiven?: boolean;
  /**
   * For notes that are printed once and played several times (repeats): the same text for the same printed note.
   * What is changed in one is changed in all.
   */
  readonly printedAs?: ReadonlyMap<string, string>;
  /** False where nothing is offered to anyone: the repairs beside those that are applied are then not tried. */
  readonly offered?: boolean;
}
