/** What the rules measure against: every limit with its unit and source. Times are integer microseconds. */

import { CHORD_GAPS, FINGERS_PER_HAND, FINGER_GAPS, NOTES_AT_ONCE, SPANS, STRAIN } from '../harp/hands';
import { LANDMARKS } from '../harp/registers';
import type { Source } from '../harp/source';

export interface Limit {
  readonly value: number;
  /** 'strings' (differences), 'string' (an index), 'notes', 'us' (microseconds), 'milli/s' (thousandths a second). */
  readonly unit: 'strings' | 'string' | 'notes' | 'us' | 'milli/s';
  readonly source: Source;
}

const CP = 'common practice';
const CO = 'Canton & Overlach, Composing for Harp';
const SA = 'Einarsdóttir, harp notation manual, Sibelius Academy';
const UBC = 'UBC Impart blog (2013); Rimsky-Korsakov, Principles of Orchestration (1922), Harp';
const B89 = 'Berlioz, Grand traité d’instrumentation (1844/55), p. 89';
const B88 = 'Berlioz, Grand traité d’instrumentation (1844/55), p. 88';
const HL = 'Harp Legacy Project, typical compositional issues';
const GAP = (i: number): Limit => {
  const row = FINGER_GAPS[i] as (typeof FINGER_GAPS)[number];
  return { value: row.strings, unit: 'strings', source: row.source };
};
const AT = (mark: { readonly string: number; readonly source: Source }): Limit => ({
  value: mark.string,
  unit: 'string',
  source: mark.source,
});

export const DEFAULT_LIMITS = {
  /** Fingers of a hand. */
  fingers: { value: FINGERS_PER_HAND.count, unit: 'notes', source: FINGERS_PER_HAND.source },
  notesAtOnce: { value: NOTES_AT_ONCE.count, unit: 'notes', source: NOTES_AT_ONCE.source },
  spanSafe: { value: SPANS.safe.strings, unit: 'strings', source: SPANS.safe.source },
  span: { value: SPANS.limit.strings, unit: 'strings', source: `${SA}; eleventh: ${CP}` },
  spanRolled: { value: SPANS.rolled.strings, unit: 'strings', source: SPANS.rolled.source },
  /** A new hand position, and a roll beyond the hand's span, take this long. */
  placing: { value: 250_000, unit: 'us', source: CP },
  lowestOfFour: { value: CHORD_GAPS.lowestOfFour.strings, unit: 'strings', source: CP },
  lowestOfThree: { value: CHORD_GAPS.lowestOfThree.strings, unit: 'strings', source: CP },
  gapThumb: GAP(0),
  gapSecondThird: GAP(1),
  gapThirdFourth: GAP(2),
  gapSecondFourth: GAP(3),
  /** In a chord as wide as this the second finger beside the thumb strains. */
  strain: { value: STRAIN.strings, unit: 'strings', source: STRAIN.source },
  rightLow: AT(LANDMARKS.rightHandLow),
  rightHardLow: AT(LANDMARKS.rightHandHardLow),
  topOctave: AT(LANDMARKS.topOctave),
  /** A left-hand line in the top octave counts as intricate above this rate. */
  topOctaveRate: { value: 4_000, unit: 'milli/s', source: CP },
  /** One string again sooner than this cannot be done. */
  sameString: { value: 90_000, unit: 'us', source: CP },
  repeatHigh: { value: 4_000, unit: 'milli/s', source: CP },
  repeatLow: { value: 2_500, unit: 'milli/s', source: CP },
  repeatHighFrom: AT(LANDMARKS.middle),
  repeatLowBelow: AT(LANDMARKS.lowBlur),
  handStrings: { value: 16_000, unit: 'milli/s', source: CP },
  handGroup: { value: 14_000, unit: 'milli/s', source: CP },
  handLine: { value: 7_000, unit: 'milli/s', source: CP },
  /** Both hands together: arpeggios from hand to hand, and scales. */
  bothArpeggio: { value: 12_000, unit: 'milli/s', source: CP },
  bothScale: { value: 10_000, unit: 'milli/s', source: CP },
  /** Octaves in one hand, between the single line and the four-note chord. */
  handOctaves: { value: 5_000, unit: 'milli/s', source: `${B88}; rate: ${CP}` },
  handChords: { value: 2_500, unit: 'milli/s', source: CP },
  /** A leap of `leapStrings` takes `leapTime`; shorter leaps in proportion. */
  leapStrings: { value: 14, unit: 'strings', source: CP },
  leapTime: { value: 450_000, unit: 'us', source: CP },
  harmonicLow: AT(LANDMARKS.harmonicLow),
  harmonicHigh: AT(LANDMARKS.harmonicHigh),
  harmonicRight: { value: 1, unit: 'notes', source: 'Kuntz, article on harmonics' },
  harmonicLeft: { value: 3, unit: 'notes', source: CP },
  harmonicSpan: { value: 5, unit: 'strings', source: SA },
  harmonicRate: { value: 2_000, unit: 'milli/s', source: CP },
  etouffeRate: { value: 3_000, unit: 'milli/s', source: CO },
  tableHigh: AT(LANDMARKS.tableHigh),
  /** From the middle of the strings to the soundboard or back: a new place for the hand. */
  tableMove: { value: 250_000, unit: 'us', source: CP },
  tableSpan: { value: 7, unit: 'strings', source: CP },
  trembleFew: { value: 3, unit: 'notes', source: 'Goss, 100 Orchestration Tips, no. 68; common practice' },
  trembleMany: { value: 8, unit: 'notes', source: 'Goss, 100 Orchestration Tips, no. 68; common practice' },
  sweepSlow: { value: 15_000, unit: 'milli/s', source: CP },
  sweepFast: { value: 45_000, unit: 'milli/s', source: CP },
  /** One foot's moves closer than this cannot be done. */
  footHard: { value: 250_000, unit: 'us', source: CP },
  footNeighbour: { value: 350_000, unit: 'us', source: 'Volpé Bligh, Writing for the Pedal Harp' },
  footReach: { value: 500_000, unit: 'us', source: 'Volpé Bligh, Writing for the Pedal Harp' },
  footSecond: { value: 150_000, unit: 'us', source: CP },
  /** Notes of a chromatic run that two feet follow: about four changes a second when they share. */
  chromaticRate: { value: 4_000, unit: 'milli/s', source: 'Volpé Bligh, Writing for the Pedal Harp' },
  /** A pedal stands this long before the next pluck of its letter. */
  settle: { value: 100_000, unit: 'us', source: CP },
  /**
   * How long a string is loud enough to be heard bending when its pedal moves, by register: wound strings are
   * worst, the top two octaves forgive after half a second; the rest in between.
   */
  ringWound: { value: 2_000_000, unit: 'us', source: CP },
  ringTenor: { value: 1_500_000, unit: 'us', source: CP },
  ringMiddle: { value: 1_000_000, unit: 'us', source: CP },
  ringTop: { value: 500_000, unit: 'us', source: CP },
  woundUpTo: { value: 11, unit: 'string', source: 'Kuntz (wire from about G2 down)' },
  forgiveFrom: { value: 33, unit: 'string', source: CP },
  /** An undamped string below C3 is heard under the next bass for this long. */
  bassRing: { value: 2_000_000, unit: 'us', source: `${UBC}; time: ${CP}` },
  bassBelow: { value: LANDMARKS.lowBlur.string, unit: 'string', source: `${UBC}; threshold: ${CP}` },
  /** Strings of a chord below `bassBelow` stand this far apart: a fifth, an octave, a tenth. */
  bassOpen: { value: 4, unit: 'strings', source: `${UBC}; threshold: ${CP}` },
  /** All strings are damped by both hands in this time, the low ones by the left hand in that of placing it. */
  dampAll: { value: 500_000, unit: 'us', source: `${SA}; time: ${CP}` },
  dampLow: { value: 250_000, unit: 'us', source: `${SA}; time: ${CP}` },
  /** Fewer strings at once than this are alone against an orchestra. */
  alone: { value: 2, unit: 'notes', source: CP },
  forcedFrom: { value: 38, unit: 'string', source: B89 },
  /** Without a break of `rest`, a hand or the player tires after these. */
  rest: { value: 2_000_000, unit: 'us', source: CP },
  longTremble: { value: 8_000_000, unit: 'us', source: CP },
  longOctaves: { value: 15_000_000, unit: 'us', source: `${HL}; time: ${CP}` },
  longEtouffes: { value: 10_000_000, unit: 'us', source: `${HL}; time: ${CP}` },
  longHarmonics: { value: 20_000_000, unit: 'us', source: `${HL}; time: ${CP}` },
  longTop: { value: 10_000_000, unit: 'us', source: `${B89}; time: ${CP}` },
  longFast: { value: 60_000_000, unit: 'us', source: CP },
  /** Strings a second, both hands together, that count as fast playing. */
  fastBoth: { value: 8_000, unit: 'milli/s', source: CP },
} as const satisfies Readonly<Record<string, Limit>>;

export type LimitName = keyof typeof DEFAULT_LIMITS;
export type Limits = Readonly<Record<LimitName, Limit>>;
