/** Proposals: what is asked, what is answered. Plain data, so that it crosses to a worker and into storage. */

import type { Problem } from '../base/problem';
import type { Difficulty, DifficultyWord } from '../figures/difficulty';
import type { Figure } from '../figures/language';
import type { MelodyNote } from '../figures/melody';
import type { Instrument } from '../harp/instrument';
import type { PlannedPassage } from '../harp/planned';
import type { Setting } from '../harp/setting';
import type { Metre } from '../music/metre';
import type { Dynamic } from '../music/passage';
import type { Progression } from '../harmony/types';
import type { Aim, PedalPrice, PlanOptions } from '../pedals/types';
import type { NoteFix } from './note-fix';
import type { NoteSlide } from './note-slide';

/** What fills a bar: the draft of one family under one seed, as it stands in that bar. */
export interface Texture {
  readonly family: string;
  readonly seed: string;
}

/** Textures of the bars from the first on; a shorter list is played again from its beginning. Never empty. */
export type Recipe = readonly Texture[];

/** Bars to be left as a proposal has them, counted from 1, both included. */
export interface Keep {
  readonly from: number;
  readonly to: number;
  /** The `recipe` of the proposal. */
  readonly recipe: Recipe;
  /**
   * The chords under these bars when they were kept, one word a bar, as `barChords` (kept.ts) writes them: a bar whose
   * chords have changed since is chosen anew and reported. Where absent, the recipe is played on whatever stands there.
   */
  readonly chords?: readonly string[];
}

/** A bar that was to be kept and is not: its chords have changed, it is past the end, or it cannot be played here. */
export interface DroppedBar {
  /** From 1. */
  readonly bar: number;
  readonly why: 'chords' | 'past-end' | 'unplayable';
}

/** What a user may set that refuses drafts: a key of `Steering` or of its `pedals`, the start, the list of families. */
export type SteeringLimit =
  | 'density'
  | 'register'
  | 'hardest'
  | 'mostMoves'
  | 'unlike'
  | 'keep'
  | 'locked'
  | 'end'
  | 'keepSpelling'
  | 'times'
  | 'slides'
  | 'start'
  | 'families';

/** A limit that is set: how many drafts it refused, and how many proposals come where it alone is lifted. */
export interface LimitReport {
  readonly limit: SteeringLimit;
  /** Drafts that break it; 0 for pedal rules, whose refusals the plan does not tell apart from others. */
  readonly refused: number;
  /** Null where there are proposals: nothing was tried. */
  readonly back: number | null;
}

/**
 * How the user steers, all of it optional: plain data, read by `steeringSchema` (steer.ts). The same request with the
 * same steering gives the same proposals.
 */
export interface Steering {
  /** Least and most plucked notes to the felt beat, on average over the passage; 0 … 24. */
  readonly density?: readonly [least: number, most: number];
  /** The lowest and the highest string to be used, by string index (0 is C1); at least an octave apart. */
  readonly register?: readonly [lowest: number, highest: number];
  /** Where absent, each figure has one of its own. */
  readonly dynamic?: Dynamic;
  /** Nothing harder than this. */
  readonly hardest?: DifficultyWord;
  /** Most pedal moves in the whole passage. */
  readonly mostMoves?: number;
  /** Passed to the pedal plan. */
  readonly pedals?: Partial<
    Pick<PlanOptions, 'end' | 'keepSpelling' | 'locked' | 'fifths' | 'times' | 'emergencies' | 'mustSettle'>
  >;
  /** Spellings that hold wherever a note sounds so at their place; none is asked to sound. */
  readonly fixes?: readonly NoteFix[];
  /** Pedal slides wherever their note sounds and rings. */
  readonly slides?: readonly NoteSlide[];
  /** Candidate textures for each bar, 1 … 12: with more than one, each bar takes one of several variants of a family. */
  readonly choices?: number;
  /** These bars stay; the others are chosen anew. */
  readonly keep?: readonly Keep[];
  /** Proposals whose like is wanted: the nearest first. */
  readonly like?: readonly Recipe[];
  /** Proposals to keep away from. */
  readonly unlike?: readonly Recipe[];
  /** Figures to be played on this progression as they were on another: a proposal for each, first in the list. */
  readonly again?: readonly Recipe[];
}

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
  /** A melody to be accompanied (figures/melody.ts reads its text): then every proposal plays it. */
  readonly melody?: readonly MelodyNote[];
  /** The concert harp unless given. */
  readonly instrument?: Instrument;
  readonly steering?: Steering;
}

/** Named terms; `total` ranks. Rates in proposals/price.ts. */
export interface Price {
  readonly pedalMoves: number;
  readonly gestures: number;
  readonly positions: number;
  readonly hasty: number;
  readonly respelt: number;
  readonly warnings: number;
  /** Tones that name their chord and never sound while it stands; a third counts threefold. */
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
  /** What fills its bars: for `keep`, `like`, `unlike` and `again`. */
  readonly recipe: Recipe;
  readonly planned: PlannedPassage;
  /** For hands and feet: five plain figures and one word. */
  readonly difficulty: Difficulty;
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
  /** The limits that are set, in the order of steer-limits.ts. */
  readonly limits?: readonly LimitReport[];
  /** Bars that were to be kept and are not. */
  readonly dropped?: readonly DroppedBar[];
}
