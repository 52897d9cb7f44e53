/** What each term of a plan's price costs, in whole points; MODEL.md explains every one. All rates common practice. */

import type { StringIndex } from '../harp/strings';

/** Names of the terms, in the order in which they are told. */
export const TERMS = [
  'moves',
  'second',
  'gestures',
  'hasty',
  'reach',
  'ring',
  'ahead',
  'offBeat',
  'busy',
  'respelt',
  'sharps',
  'reading',
  'flips',
  'shape',
  'emergencies',
] as const;
export type TermName = (typeof TERMS)[number];

/** Points a unit; the unit of each term is told here, the place where it is counted in spending.ts. */
export const POINTS = {
  /** Each move of one pedal. */
  move: 28,
  /** Each position beyond a move's first: flat to sharp passes through natural. */
  second: 4,
  /** Each instant at which a foot moves: one left and one right move at one instant are one. */
  gesture: 8,
  /** Each move nearer to its foot's last than is comfortable. */
  hasty: 12,
  /** Each pedal that a foot passes over within a second of its last move: D to B one, E to A two. */
  reach: 1,
  /** A move that stands less than the settling time before a note that its pedal may serve. */
  late: 9,
  /** The same less than a beat before. */
  ahead: 3,
  /** A move on a half beat; elsewhere off the beat it is twice that. */
  offBeat: 1,
  /** A move while a big roll is struck or the hands leap. */
  busy: 2,
  /** Each pluck spelt otherwise than asked: four of them read worse than one move costs. */
  respelt: 7,
  /** Each pluck of a black key spelt with a sharp: the string shortened twice rings less than the flat. */
  sharps: 1,
  /** Each pair of pitches of one chord that sound a third and are not spelt as one. */
  third: 1,
  /** Each neighbouring pair of a chord whose strings do not rise with the pitches. */
  order: 3,
  /** Sharps and flats in one chord. */
  mixed: 2,
  /** Each pitch class that changes its letter from one onset to the next. */
  flip: 2,
  /** Each string by which a respelling widens a hand beyond an octave. */
  shape: 2,
  /** Each step of loudness in `ringSteps`. */
  ring: 1,
  /** Each move by the other foot, or with its neighbour by one foot in one motion. */
  emergency: 20,
} as const;

/** Points a unit, as a plan is asked to count them: whole and not negative. */
export type Rates = Readonly<Record<keyof typeof POINTS, number>>;

/** The rates of a plan: POINTS, save where others are asked for. */
export const ratesOf = ({ rates }: { readonly rates?: Partial<Rates> }): Rates =>
  rates === undefined ? POINTS : { ...POINTS, ...rates };

/** A reach is awkward within this many microseconds of the foot's last move. */
export const REACH_WITHIN = 1_000_000;
/** A hand that leaps this many semitones or more from one onset to the next. */
export const LEAP = 24;
/** A roll of this many notes over this many strings is big, and takes ROLL_STEP microseconds a note. */
export const BIG_ROLL = { notes: 4, strings: 10 } as const;
export const ROLL_STEP = 45_000;

/** How long the strings of a register ring: 60 dB down, in microseconds, in round figures. */
const DECAY: readonly (readonly [highest: StringIndex, micros: number, wound: boolean])[] = [
  [11, 10_000_000, true],
  [20, 6_000_000, false],
  [34, 3_000_000, false],
  [37, 1_200_000, false],
  [46, 800_000, false],
];

/**
 * Steps in which a plucked string grows quiet: up to `until` microseconds after its pluck a move of its pedal costs
 * so many `points` of ring. An eighth of the decay is 7.5 dB, a quarter 15, a half 30; wound strings buzz twice as badly.
 */
export function ringSteps(
  string: StringIndex,
): readonly { readonly until: number; readonly points: number }[] {
  const row = DECAY.find(([highest]) => string <= highest) ?? (DECAY[4] as (typeof DECAY)[number]);
  const [, decay, wound] = row;
  const by = wound ? 2 : 1;
  return [
    { until: decay / 8, points: 3 * by },
    { until: decay / 4, points: 2 * by },
    { until: decay / 2, points: by },
  ];
}
