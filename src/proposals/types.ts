/** Proposals: what is asked, what is answered. Plain data, so that it crosses to a worker and into storage. */

import type { Problem } from '../base/problem';
import type { Figure } from '../figures/language';
import type { Instrument } from '../harp/instrument';
import type { PlannedPassage } from '../harp/planned';
import type { Setting } from '../harp/setting';
import type { Metre } from '../music/metre';
import type { Progression } from '../harmony/types';
import type { Aim, PedalPrice } from '../pedals/types';

export interface ProposeRequest {
  readonly text: string;
  readonly metre: Metre;
  readonly milliBpm: number;
  readonly seed: string;
  readonly count: number;
  /** Family ids; empty asks for all. */
  readonly families: readonly string[];
  /** The setting that the harp stands in before; null leaves it to the plan. */
  readonly start: Setting | null;
  readonly aim: Aim;
  /** For Roman numerals: 'Eb', 'c', 'F# minor'; null guesses. */
  readonly key: string | null;
  readonly title: string;
  /** Figures of the user's own, as `readFigure` gives them; one with a preset's id takes its place. */
  readonly figures?: readonly Figure[];
  /** The concert harp unless given. */
  readonly instrument?: Instrument;
}

/** Named terms; `total` ranks. Rates in proposals/price.ts. */
export interface Price {
  readonly pedalMoves: number;
  readonly gestures: number;
  readonly positions: number;
  readonly hasty: number;
  readonly respelt: number;
  readonly warnings: number;
  /** Tones that name their chord and never sound while it stands. */
  readonly missingTones: number;
  readonly craft: number;
  readonly total: number;
}

export interface Proposal {
  /** Stable for the same request: family and seed. */
  readonly id: string;
  readonly family: string;
  readonly familyName: string;
  readonly variant: string;
  /** The seed that makes this one again. */
  readonly seed: string;
  readonly planned: PlannedPassage;
  readonly pedals: PedalPrice;
  readonly lowerBound: number;
  readonly optimal: boolean;
  readonly price: Price;
  readonly warnings: readonly Problem[];
}

export interface Rejection {
  readonly family: string;
  readonly problems: readonly Problem[];
}

export interface ProposeAnswer {
  readonly progression: Progression;
  readonly proposals: readonly Proposal[];
  readonly rejected: readonly Rejection[];
}
