/** What a pedal plan is asked and what it answers. */

import type { Problem } from '../base/problem';
import type { Instrument } from '../harp/instrument';
import type { PlannedPassage } from '../harp/planned';
import type { Position, Setting } from '../harp/setting';
import type { Letter } from '../music/pitch';
import type { Passage } from '../music/passage';
import type { Rates, TermName } from './rates';

export type Aim = 'practical' | 'fewest';

/** Times of a foot in microseconds; defaults in foot-times.ts with their sources. */
export interface FootTimes {
  /** Least time between two instants of one foot on neighbouring pedals. */
  readonly neighbour: number;
  /** The same for pedals farther apart. */
  readonly reach: number;
  /** Added when a pedal goes through two positions. */
  readonly secondPosition: number;
  /** A pedal stands this long before the next pluck of its letter. */
  readonly settle: number;
}

export interface PlanOptions {
  readonly aim: Aim;
  readonly instrument: Instrument;
  /** The setting before the first note; null leaves it free. */
  readonly start: Setting | null;
  /** The setting wanted after the last note; null leaves it free. */
  readonly end: Setting | null;
  /** No respelling. */
  readonly keepSpelling: boolean;
  readonly times: FootTimes;
  /** Pedals to leave alone: each stands there before the first note and is never moved. */
  readonly locked?: Readonly<Partial<Record<Letter, Position>>>;
  /** A key signature of the harp's own, -7 … 7 fifths; the passage's own where absent. Spelling is asked in it. */
  readonly fifths?: number;
  /** Emergency moves: E by the left foot, B by the right, two neighbours by one foot in one motion. None unless true. */
  readonly emergencies?: boolean;
  /** Where true, no pedal may move later than `times.settle` before its next pluck; else that is priced, not barred. */
  readonly mustSettle?: boolean;
  /** Unless false, a refusal names a minimal conflict and ways out, which takes much longer than to see it. */
  readonly explain?: boolean;
  /** Points a unit where they are others than MODEL.md's: whole, not negative, a move above a second position. */
  readonly rates?: Partial<Rates>;
  /** A limit on work, in search labels; the answer says when it was hit. */
  readonly workLimit?: number;
  /** The same for the proof of the whole price alone: where plans are many, less than the planner would spend. */
  readonly proofLimit?: number;
}

/** The price of a plan by named terms; every term in whole units so that sums are exact. */
export interface PedalPrice {
  /** Moves of one pedal. */
  readonly moves: number;
  /** One left and one right move together count once. */
  readonly gestures: number;
  /** Positions travelled: flat to sharp is two. */
  readonly positions: number;
  /** Moves nearer to their foot's last than is comfortable (FootTimes). */
  readonly hasty: number;
  /** Plucks spelt otherwise than asked. */
  readonly respelt: number;
  /** Deliberate slides among the moves; absent where none is asked for. */
  readonly slides?: number;
  /** Everything, in points of the practical aim. */
  readonly points: number;
  /** Those points by term; the terms and their rates are in rates.ts and MODEL.md. */
  readonly terms: Readonly<Record<TermName, number>>;
}

/** A change under which a refused passage can be played. */
export type WayOut =
  /** Without one of the notes in conflict, or without all of them. */
  | { readonly kind: 'leave-out'; readonly ids: readonly string[] }
  /** At this share of the tempo, in percent. */
  | { readonly kind: 'slower'; readonly percent: number }
  /** With every option as it is but these emergency moves allowed. */
  | { readonly kind: 'emergencies' }
  /** With every option as it is, but no pedal made to settle. */
  | { readonly kind: 'unsettled' };

export type PlanStatus = 'optimal' | 'planned' | 'unplayable';

export type PlanAnswer =
  | {
      readonly status: 'optimal' | 'planned';
      readonly planned: PlannedPassage;
      readonly price: PedalPrice;
      /** No plan of this passage costs fewer moves than this. */
      readonly lowerBound: number;
      /** No plan costs fewer points than this; null where the aim is `fewest`, which moves alone decide. */
      readonly leastPoints: number | null;
      /** Warnings: respelt clashes, hasty moves. */
      readonly problems: readonly Problem[];
    }
  | {
      readonly status: 'unplayable';
      /** Ids of plucks and sweeps that cannot all be played; none can be dropped. */
      readonly conflict: readonly string[];
      /** Changes that were planned again and work, the least first; empty only where an option makes no sense. */
      readonly ways: readonly WayOut[];
      readonly problems: readonly Problem[];
    };

export type PlanPassage = (passage: Passage, options: PlanOptions) => PlanAnswer;
