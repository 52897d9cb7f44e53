/** What a figure family is given and what it makes. */

import type { Problem } from '../base/problem';
import type { Random } from '../base/random';
import type { Instrument } from '../harp/instrument';
import type { Progression } from '../harmony/types';
import type { Dynamic, Passage } from '../music/passage';

export interface FigureBrief {
  readonly progression: Progression;
  readonly title: string;
  /** Thousandths of a quarter note per minute. */
  readonly milliBpm: number;
  readonly instrument: Instrument;
  readonly random: Random;
  readonly dynamic?: Dynamic;
}

export interface FigureDraft {
  /** Names the choice made inside the family, for the list: 'sextuplets, two octaves'. */
  readonly variant: string;
  readonly passage: Passage;
  /** Craft: lower is better. Named terms in whole points, each with its meaning in figures/README.md. */
  readonly craft: Readonly<Record<string, number>>;
}

export interface FigureFamily {
  /** Kebab-case, stable: what --families takes. */
  readonly id: string;
  readonly name: string;
  /** One sentence: when this family serves. */
  readonly serves: string;
  /** Makes one draft, or says why this family does not suit this progression, metre or tempo. */
  draft(
    brief: FigureBrief,
  ):
    | { readonly ok: true; readonly value: FigureDraft }
    | { readonly ok: false; readonly problems: readonly Problem[] };
}
