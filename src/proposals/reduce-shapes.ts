/** What one hand strikes at an instant in a reduction: what fits it, and how badly it lies. */

import { FINGERS_PER_HAND, SPANS } from '../harp/hands';
import { LANDMARKS } from '../harp/registers';
import type { Hand, Pluck } from '../music/passage';
import { DEFAULT_LIMITS as LIMITS } from '../playability/limits';
import { repeatLimit } from '../playability/rules/repeat-rate';

/** Points (own scale, that of reduction/roles.ts): what lies badly. Multiplied by the wish for ease. */
const COST = {
  wide: 6,
  roll: 5,
  rollString: 2,
  spacing: 4,
  /** A new place for the hand in the middle of a quick line. */
  regroup: 12,
  hurry: 12,
  repeat: 14,
  chords: 8,
  leap: 1,
  low: 6,
  /** In hundredths a string: a hand in the other's register. */
  foreign: 30,
} as const;
const HOME = { right: LANDMARKS.middle.string, left: LANDMARKS.middle.string + 7 } as const;
/** Strings that count towards the hard rate, as the rule of hand speed has it. */
const BEYOND_PLACED = 5;
/** A roll of one hand is not drawn wider than two octaves and a third. */
const WIDEST_ROLL = SPANS.rolled.strings;

export interface Struck {
  readonly at: number;
  readonly count: number;
  readonly low: number;
  readonly high: number;
  /** Strings of the placed group that it ends: at most a finger each, within the hand's span. */
  readonly group: readonly number[];
}
export interface Touched {
  readonly string: number;
  readonly at: number;
}
/** A pluck with its string and price. */
export interface Note {
  readonly pluck: Pluck;
  readonly string: number;
  readonly worth: number;
}
/** Whether `n` strings more at `at` keep the hard rate of a hand. */
export function possible(past: readonly Struck[], n: number, at: number): boolean {
  let sum = n;
  for (let i = past.length - 1; i >= 0; i--) {
    const before = past[i] as Struck;
    const without = sum - n;
    if (without >= BEYOND_PLACED) return true;
    if (sum >= BEYOND_PLACED) {
      const rate = Math.floor((sum * 1_000_000_000) / Math.max(1, at - before.at + 2));
      if (rate > LIMITS.handStrings.value) return false;
    }
    sum += before.count;
  }
  return true;
}

export interface Shape {
  readonly notes: readonly Note[];
  readonly rolled: boolean;
}

const NOTHING: Shape = { notes: [], rolled: false };

const spanOf = (notes: readonly Note[]): number =>
  notes.length < 2 ? 0 : (notes.at(-1) as Note).string - (notes[0] as Note).string;

function without(notes: readonly Note[], gone: Note): Note[] {
  return notes.filter((n) => n !== gone);
}

const cheapest = (notes: readonly Note[]): Note =>
  notes.reduce((a, b) => (b.worth < a.worth ? b : a), notes[0] as Note);

/** The largest part of these notes that the hand can strike, worth most; null where it can strike none. */
export function fit(
  hand: Hand,
  asked: readonly Note[],
  past: readonly Struck[],
  { at, isRolled, mayRoll }: Onset,
  most: number,
): Shape {
  if (asked.length === 0) return NOTHING;
  let notes = asked;
  if (hand === 'R' && notes.some((n) => n.string < LANDMARKS.rightHandHardLow.string)) {
    notes = notes.filter((n) => n.string >= LANDMARKS.rightHandHardLow.string);
  }
  // Sorted by string: two inflections of one string are neighbours.
  if (notes.some((n, i) => n.string === notes[i + 1]?.string)) {
    notes = notes.filter(
      (n) =>
        !notes.some(
          (o) =>
            o !== n &&
            o.string === n.string &&
            (o.worth > n.worth || (o.worth === n.worth && notes.indexOf(o) < notes.indexOf(n))),
        ),
    );
  }
  while (notes.length > Math.min(most, FINGERS_PER_HAND.count)) notes = without(notes, cheapest(notes));
  while (notes.length > 0 && !possible(past, notes.length, at)) notes = without(notes, cheapest(notes));
  let rolled = isRolled(notes);
  while (spanOf(notes) > SPANS.limit.strings) {
    if (spanOf(notes) <= WIDEST_ROLL && (rolled || (mayRoll && notes.length > 2))) {
      rolled = true;
      break;
    }
    const [low, high] = [notes[0] as Note, notes.at(-1) as Note];
    notes = without(notes, low.worth < high.worth ? low : high);
  }
  return { notes, rolled };
}

/** The placed group that strings go on with: those before them where no new place is needed, else themselves. */
export function groupWith(
  last: Struck | undefined,
  strings: readonly number[],
  at: number,
): readonly number[] {
  if (last === undefined || at - last.at >= LIMITS.placing.value) return strings;
  let group = last.group;
  for (const s of strings) if (!group.includes(s)) group = [...group, s];
  if (group.length > FINGERS_PER_HAND.count) return strings;
  return Math.max(...group) - Math.min(...group) > SPANS.limit.strings ? strings : group;
}

/** Quicker than a line in one hand: a new place in its middle is felt. */
const QUICK_LINE = Math.floor(1_000_000_000 / LIMITS.handLine.value);

/** Points of what a hand strikes after what it struck. */
export function shapeCost(
  hand: Hand,
  shape: Shape,
  past: readonly Struck[],
  at: number,
  ease: number,
): number {
  const { notes } = shape;
  if (notes.length === 0) return 0;
  const [low, high] = [(notes[0] as Note).string, (notes.at(-1) as Note).string];
  const span = high - low;
  let cost = 0;
  if (span > SPANS.limit.strings) cost += COST.roll + (span - SPANS.limit.strings) * COST.rollString;
  else if (span > SPANS.safe.strings && !shape.rolled) cost += COST.wide;
  if (notes.length >= 3) {
    const gap = (i: number): number => (notes[i + 1] as Note).string - (notes[i] as Note).string;
    if (notes.length === 4) {
      if (gap(0) > LIMITS.gapThirdFourth.value) cost += COST.spacing;
      if (gap(1) > LIMITS.gapSecondThird.value) cost += COST.spacing;
    } else if (gap(0) > LIMITS.lowestOfThree.value) cost += COST.spacing;
    if (gap(notes.length - 2) > LIMITS.gapThumb.value) cost += COST.spacing;
  }
  let foreign = 0;
  if (hand === 'R') {
    if (low < LANDMARKS.rightHandLow.string) cost += COST.low;
    for (const n of notes) foreign += Math.max(0, HOME.right - n.string);
  } else for (const n of notes) foreign += Math.max(0, n.string - HOME.left);
  cost += Math.floor((foreign * COST.foreign) / 100);
  const last = past.at(-1);
  if (last !== undefined) {
    const gap = at - last.at;
    const alone = last.count === 1 && notes.length === 1 && low !== last.low;
    if (alone && gap + 1 < QUICK_LINE && groupWith(last, [low], at).length === 1) cost += COST.regroup;
    if (last.count >= 4 && notes.length >= 4 && gap * LIMITS.handChords.value < 1_000_000_000) {
      cost += COST.chords;
    }
    const way = Math.abs(low + high - last.low - last.high);
    if (way > 2 * SPANS.limit.strings) {
      const need = Math.floor((LIMITS.leapTime.value * way) / (2 * LIMITS.leapStrings.value));
      cost += Math.floor(Math.max(0, need - gap) / 20_000) * COST.leap;
    } else if (notes.length + last.count > 4 && gap < 125_000) cost += COST.hurry;
  }
  return cost * ease;
}

export function repeatCost(
  notes: readonly Note[],
  touched: readonly Touched[],
  at: number,
  ease: number,
): number {
  let cost = 0;
  for (const n of notes) {
    for (let i = touched.length - 1; i >= 0; i--) {
      const t = touched[i] as Touched;
      if (t.string !== n.string) continue;
      if ((at - t.at) * repeatLimit(LIMITS, n.string) < 1_000_000_000) cost += COST.repeat * ease;
      break;
    }
  }
  return cost;
}

export interface Onset {
  readonly at: number;
  readonly notes: readonly Note[];
  readonly isRolled: (notes: readonly Note[]) => boolean;
  /** Points of a note taken by the other hand than it is printed for. */
  readonly staff: number;
  /** Printed staves that have a note or two here, in bits: 1 the right's, 2 the left's. */
  readonly voices: number;
  /** A chord too wide may be rolled. */
  readonly mayRoll: boolean;
}
