/** A problem as data: what rule, where, the value found, the limit, the rule's source. Sentences are made at the rim. */

import type { Ticks } from './units';

export type Severity = 'error' | 'warning';

/** A place in music: an onset, and the ids of the plucks, sweeps or moves concerned. */
export interface MusicPlace {
  readonly kind: 'music';
  readonly onset: Ticks;
  readonly ids: readonly string[];
}
/** A place in a text: offsets in UTF-16 code units, end excluded. */
export interface TextPlace {
  readonly kind: 'text';
  readonly start: number;
  readonly end: number;
}
/** A place in a file: the bar's printed number where known, and the line where known. */
export interface FilePlace {
  readonly kind: 'file';
  readonly bar?: string;
  readonly line?: number;
}
export type Place = MusicPlace | TextPlace | FilePlace;

/** A measured or permitted quantity, with its unit, ready to be put into a sentence. */
export type Quantity = number | string;

export interface Problem {
  /** The rule that speaks, kebab-case and stable: `span`, `four-fingers`, `pedal-time`, … */
  readonly code: string;
  readonly severity: Severity;
  readonly where: Place;
  /** What was found. */
  readonly value: Quantity;
  /** What would be allowed. */
  readonly limit: Quantity;
  /** Unit of value and limit, where they are numbers: 'strings', 'notes', 's', 'notes/s'. */
  readonly unit?: string;
  /** Where the rule comes from: a work and page, or 'common practice'. */
  readonly source: string;
  /** Names, spellings and the like that the sentence needs. */
  readonly detail?: Readonly<Record<string, string | number>>;
}
