/** What a passage asks of the pedals: spellings, ways and stops. */

import type { Ticks } from '../base/units';
import type { Position } from '../harp/setting';
import type { Hand } from '../music/passage';
import type { Pitch } from '../music/pitch';
import type { SpeltGroup } from './reading';
import type { Partial7 } from './tables';
import type { PlanOptions } from './types';
/** The inflection of each discless string, by string index. */
export type Tuning = Readonly<Record<number, Position>>;

/** Plucks of one pitch at one onset, written on one string: they are spelt alike. */
export interface Group {
  readonly ids: readonly string[];
  readonly midi: number;
  readonly spellings: readonly Spelling[];
  /** The hands that play it, each with the string asked for. */
  readonly hands: SpeltGroup['hands'];
}
export interface Spelling {
  readonly pitch: Pitch;
  /** What it asks of the pedals; nothing for a discless string. */
  readonly needs: Partial7;
  /** Plucks of the group that are spelt otherwise when this is chosen. */
  readonly respelt: number;
}

/** A sweep or tremble that sounds at a stop. */
export interface Span {
  readonly id: string;
  readonly onset: Ticks;
  readonly end: Ticks;
  readonly groups: readonly Group[];
  readonly ways: readonly Way[];
}
/** One choice of spelling for a set of groups. */
export interface Way {
  readonly needs: Partial7;
  readonly respelt: number;
  /** Points for how it reads and lies (reading.ts). */
  readonly price: number;
  /** Letters by pitch class. */
  readonly letters: ReadonlyMap<number, number>;
  /** Index into each group's spellings. */
  readonly choice: readonly number[];
}

/** One way to serve a stop: all it needs, and whence. */
export interface Option {
  readonly needs: Partial7;
  readonly respelt: number;
  /** Points for the spelling of what begins here. */
  readonly price: number;
  /** What spans from before must already find standing. */
  readonly held: Partial7;
  /** The way of the plucks struck here. */
  readonly struck: Way;
  /** The way of each span, in the order of `Stop.spans`. */
  readonly spanWays: readonly Way[];
}

/** An instant at which something is struck. */
export interface Stop {
  readonly onset: Ticks;
  readonly groups: readonly Group[];
  readonly spans: readonly Span[];
  /** Empty where nothing serves. The same array object where the demand is the same. */
  readonly options: readonly Option[];
  readonly ids: readonly string[];
}

export interface Note {
  readonly id: string;
  readonly pitch: Pitch;
  readonly fixed?: boolean;
  readonly hand?: Hand | null;
}

/** What decides which spellings are open. */
export type SpellingRules = Pick<PlanOptions, 'instrument' | 'keepSpelling' | 'locked' | 'rates'>;
