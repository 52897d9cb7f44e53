/** What a reduction is asked, what its rules propose, and what it answers. */

import type { Ticks } from '../base/units';
import type { Bar } from '../music/metre';
import type { Damp, Passage, Pluck, Roll, Sweep, Tremble } from '../music/passage';

/** How much may change: as little as hands allow, what a harpist would choose, or what reads and lies easily. */
export type Difficulty = 'faithful' | 'idiomatic' | 'easy';
export const DIFFICULTIES: readonly Difficulty[] = ['faithful', 'idiomatic', 'easy'];

/** What a note is to the listener. */
export interface Role {
  /** On the top line: the highest struck, with nothing higher held. */
  readonly top: boolean;
  /** On the bass line. */
  readonly bass: boolean;
  /** The highest or lowest struck at its instant, whatever is held. */
  readonly outer: boolean;
  /** Third or seventh of the chord that stands. */
  readonly naming: boolean;
  /** Tone of the chord that stands. */
  readonly chordal: boolean;
  /** Another note of its pitch class is struck at the same instant. */
  readonly doubled: boolean;
  /** What its loss costs, in points. */
  readonly worth: number;
}

/** A recognizer's proposal: notes out, notes in. Lies within one bar. */
export interface Rewrite {
  /** `code@bar.tick`, stable: the same part gives the same id. */
  readonly id: string;
  /** The rule, kebab-case. */
  readonly code: string;
  readonly bar: number;
  readonly onset: Ticks;
  /** Source of the rule: a row of the trade's piano-to-harp table. */
  readonly source: string;
  /** Ids of plucks and trembles that go. */
  readonly remove: readonly string[];
  /** Plucks that come; one with the id of a removed pluck is that pluck, changed. */
  readonly add: readonly Pluck[];
  readonly rolls?: readonly Roll[];
  readonly trembles?: readonly Tremble[];
  readonly sweeps?: readonly Sweep[];
  readonly damps?: readonly Damp[];
  /** Points of ease that the costs of the hands do not see, by difficulty. */
  readonly ease: Readonly<Record<Difficulty, number>>;
  /** Words for the sentence. */
  readonly detail?: Readonly<Record<string, string | number>>;
}

/** One row of the table as code: where it applies, and what it would write. */
export interface Rule {
  readonly code: string;
  readonly source: string;
  find(view: BarView): Rewrite[];
}

/** One bar of the piano part as the rules see it. */
export interface BarView {
  readonly passage: Passage;
  readonly bar: Bar;
  /** Plucks that begin in the bar, by onset, then from low to high. */
  readonly plucks: readonly Pluck[];
  readonly trembles: readonly Tremble[];
  readonly roles: ReadonlyMap<string, Role>;
  /** Pitch classes of the chord that stands at a tick; empty where none is recognized. */
  chordAt(at: number): readonly number[];
  microsAt(at: number): number;
  /** Spans of the sustaining pedal, where known. */
  readonly sustain: readonly SustainSpan[];
  /** Ids of plucks marked staccato, where known. */
  readonly staccato: ReadonlySet<string>;
  /** What each string without a disc is tuned to. */
  readonly tuning: ReadonlyMap<number, number>;
}

export interface SustainSpan {
  readonly from: Ticks;
  readonly to: Ticks;
}

/** A change that was made. */
export interface Change {
  readonly id: string;
  readonly code: string;
  readonly onset: Ticks;
  /** Printed bar number and beat (from 1). */
  readonly bar: string;
  readonly beat: number;
  readonly message: string;
  readonly source: string;
  /** Ids of notes of the piano part and of the harp part. */
  readonly before: readonly string[];
  readonly after: readonly string[];
  /** It was refused, and made all the same: without it nothing can be played. */
  readonly unavoidable?: boolean;
}

/** Shares from 0 to 1. */
export interface Kept {
  readonly top: number;
  readonly bass: number;
  readonly harmony: number;
  readonly thirds: number;
}
