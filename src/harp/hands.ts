/** The harpist's hand as a table: fingers, spans and gaps in strings (an interval's number less one). */

import type { Finger } from '../music/passage';
import type { Source } from './source';

/** Strings between the lowest and highest note of one hand, or between two fingers: a fifth is 4. */
export interface HandRow {
  readonly strings: number;
  readonly interval: string;
  readonly source: Source;
}

const RK_FC =
  'Rimsky-Korsakov, Principles of Orchestration (1922), Harp; Freund & Cutler, Extreme Orchestration (2024), Harp';

/** Strings that one hand plucks at once. */
export const FINGERS_PER_HAND = { count: 4, source: RK_FC } as const;
/** Strings that both hands pluck at once: "eight notes at most". */
export const NOTES_AT_ONCE = { count: 8, source: RK_FC } as const;

export const SPANS = {
  safe: { strings: 9, interval: 'tenth', source: 'Einarsdóttir, harp notation manual, Sibelius Academy' },
  limit: { strings: 10, interval: 'eleventh', source: 'common practice' },
  /** A roll may go on beyond the hand's span: this far without remark. */
  rolled: { strings: 14, interval: 'fifteenth', source: 'common practice' },
} as const satisfies Readonly<Record<string, HandRow>>;

/** Gaps inside a chord of one hand. */
export const CHORD_GAPS = {
  lowestOfFour: { strings: 4, interval: 'fifth', source: 'common practice' },
  lowestOfThree: { strings: 7, interval: 'octave', source: 'common practice' },
} as const satisfies Readonly<Record<string, HandRow>>;

/** The widest comfortable gap between two fingers, the higher finger of the hand (towards the thumb) first. */
export const FINGER_GAPS: readonly (HandRow & { readonly upper: Finger; readonly lower: Finger })[] = [
  { upper: 1, lower: 2, strings: 7, interval: 'octave', source: 'common practice' },
  { upper: 2, lower: 3, strings: 3, interval: 'fourth', source: 'common practice' },
  { upper: 3, lower: 4, strings: 3, interval: 'fourth', source: 'common practice' },
  { upper: 2, lower: 4, strings: 5, interval: 'sixth', source: 'common practice' },
];

/** A second finger beside the thumb inside a chord of this span strains the hand. */
export const STRAIN = {
  strings: 9,
  interval: 'tenth',
  source: 'Harp Legacy Project, typical compositional issues',
} as const satisfies HandRow;

/** The widest comfortable gap between two fingers in strings; the outer pairs reach as far as the hand does. */
export function fingerGap(upper: Finger, lower: Finger): number {
  const row = FINGER_GAPS.find((r) => r.upper === upper && r.lower === lower);
  return row?.strings ?? SPANS.safe.strings;
}
