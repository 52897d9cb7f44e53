/** Hands for one bar of a reduction: who plays what, what is rolled, and what no finger is left for. */

import type { Ticks } from '../base/units';
import { FINGERS_PER_HAND, SPANS } from '../harp/hands';
import { LANDMARKS } from '../harp/registers';
import { stringOf } from '../harp/strings';
import type { Hand, Pluck } from '../music/passage';
import { DEFAULT_LIMITS as LIMITS } from '../playability/limits';
import { repeatLimit } from '../playability/rules/repeat-rate';

/** Points (own scale, that of reduction/roles.ts): what lies badly. Multiplied by the wish for ease. */
const COST = {
  wide: 6,
  roll: 5,
  rollString: 2,
  spacing: 4,
  line: 5,
  hurry: 12,
  repeat: 14,
  chords: 8,
  leap: 1,
  low: 6,
  /** In hundredths a string: a hand in the other's register. */
  foreign: 30,
  staff: 3,
  crossed: 2,
} as const;
/** Points of each note that changes hands where that was refused: whatever else can be done is done first. */
const REFUSED = 3000;
/** Courses kept at each onset. */
const BEAM = 12;
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
}
interface Touched {
  readonly string: number;
  readonly at: number;
}
/** A pluck with its string and price. */
interface Note {
  readonly pluck: Pluck;
  readonly string: number;
  readonly worth: number;
}
export interface Choice {
  readonly left: readonly string[];
  readonly right: readonly string[];
  readonly dropped: readonly string[];
  /** Hands whose chord is rolled for its span. */
  readonly rolled: readonly Hand[];
}
/** Where the hands are, and how they came there. */
export interface HandCourse {
  readonly cost: number;
  readonly R: readonly Struck[];
  readonly L: readonly Struck[];
  readonly touched: readonly Touched[];
  readonly choice: Choice | null;
  readonly from: HandCourse | null;
}

export const RESTING: HandCourse = { cost: 0, R: [], L: [], touched: [], choice: null, from: null };

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

interface Shape {
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
function fit(
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

/** Points of what a hand strikes after what it struck. */
function shapeCost(hand: Hand, shape: Shape, past: readonly Struck[], at: number, ease: number): number {
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
    const fifth = past.at(-5);
    if (fifth !== undefined && 5_000_000_000 > (at - fifth.at) * LIMITS.handLine.value) cost += COST.line;
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

function repeatCost(notes: readonly Note[], touched: readonly Touched[], at: number, ease: number): number {
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

interface Onset {
  readonly at: number;
  readonly notes: readonly Note[];
  readonly isRolled: (notes: readonly Note[]) => boolean;
  /** Points of a note taken by the other hand than it is printed for. */
  readonly staff: number;
  /** A chord too wide may be rolled. */
  readonly mayRoll: boolean;
}

const REMEMBERED = 8;

/** What both hands might strike next: weighed first, written down only if it is among the cheapest. */
interface Draft {
  readonly cost: number;
  readonly from: HandCourse;
  readonly L: Shape;
  readonly R: Shape;
}

const overlaps = (a: readonly Note[], string: number): boolean => {
  for (const n of a) if (n.string === string) return true;
  return false;
};

function draft(
  course: HandCourse,
  onset: Onset,
  left: readonly Note[],
  right: readonly Note[],
  most: number,
  ease: number,
): Draft {
  const { at } = onset;
  const L = fit('L', left, course.L, onset, most);
  const apart = right.some((n) => overlaps(L.notes, n.string))
    ? right.filter((n) => !overlaps(L.notes, n.string))
    : right;
  const R = fit('R', apart, course.R, onset, most);
  let cost = course.cost;
  if (L.notes.length + R.notes.length < onset.notes.length) {
    for (const n of onset.notes) if (!L.notes.includes(n) && !R.notes.includes(n)) cost += n.worth;
  }
  cost += shapeCost('L', L, course.L, at, ease) + shapeCost('R', R, course.R, at, ease);
  cost += repeatCost(L.notes, course.touched, at, ease) + repeatCost(R.notes, course.touched, at, ease);
  for (const n of L.notes) if (n.pluck.hand === 'R') cost += onset.staff;
  for (const n of R.notes) if (n.pluck.hand === 'L') cost += onset.staff;
  const lastR = R.notes.length > 0 ? (R.notes.at(-1) as Note).string : course.R.at(-1)?.high;
  if (L.notes.length > 0 && lastR !== undefined) {
    cost += Math.max(0, (L.notes[0] as Note).string - lastR) * COST.crossed;
  }
  return { cost, from: course, L, R };
}

const spotOf = (at: number, s: Shape): Struck => ({
  at,
  count: s.notes.length,
  low: (s.notes[0] as Note).string,
  high: (s.notes.at(-1) as Note).string,
});

/** Where the hands are after a draft. */
function courseOf({ cost, from, L, R }: Draft, onset: Onset): HandCourse {
  const { at } = onset;
  const struck = (past: readonly Struck[], s: Shape): readonly Struck[] =>
    s.notes.length === 0 ? past : [...past.slice(-REMEMBERED), spotOf(at, s)];
  const ids = (notes: readonly Note[]): string[] => notes.map((n) => n.pluck.id);
  const dropped = onset.notes.filter((n) => !L.notes.includes(n) && !R.notes.includes(n));
  const rolled: Hand[] = [];
  if (L.rolled && !onset.isRolled(L.notes)) rolled.push('L');
  if (R.rolled && !onset.isRolled(R.notes)) rolled.push('R');
  return {
    cost,
    R: struck(from.R, R),
    L: struck(from.L, L),
    touched: [
      ...from.touched.filter((t) => at - t.at < 500_000),
      ...[...L.notes, ...R.notes].map((n) => ({ string: n.string, at })),
    ],
    choice: { left: ids(L.notes), right: ids(R.notes), dropped: ids(dropped), rolled },
    from,
  };
}

const keyOfSpot = (s: Struck | undefined): string =>
  s === undefined ? '-' : `${s.low},${s.high},${s.at},${s.count}`;
const keyOfHand = (past: readonly Struck[], s: Shape, at: number): string =>
  keyOfSpot(s.notes.length === 0 ? past.at(-1) : spotOf(at, s));

function prune(drafts: Draft[], onset: Onset): HandCourse[] {
  const seen = new Set<string>();
  const out: HandCourse[] = [];
  drafts.sort((a, b) => a.cost - b.cost);
  for (const d of drafts) {
    const key = `${keyOfHand(d.from.L, d.L, onset.at)}|${keyOfHand(d.from.R, d.R, onset.at)}`;
    if (seen.has(key)) continue;
    seen.add(key);
    out.push(courseOf(d, onset));
    if (out.length === BEAM) break;
  }
  return out;
}

export interface HandsAsked {
  /** Plucks of the bar. */
  readonly plucks: readonly Pluck[];
  /** Ids of plucks that are rolled already. */
  readonly rolled: ReadonlySet<string>;
  readonly worth: (id: string) => number;
  readonly microsAt: (at: Ticks) => number;
  /** 1 and more: how much what lies badly counts against what is lost. */
  readonly ease: number;
  /** Onsets whose exchange between hands was refused, and those whose chord is not to be rolled. */
  readonly keptHands?: ReadonlySet<number>;
  readonly unrolled?: ReadonlySet<number>;
}

/** What was found through the onsets of a bar: another reading of it that begins alike goes on from there. */
export interface HandTrail {
  steps: { readonly plucks: readonly Pluck[]; readonly rolled: string; readonly courses: HandCourse[] }[];
}

const alike = (a: readonly Pluck[], b: readonly Pluck[]): boolean =>
  a.length === b.length && a.every((p, i) => p === b[i]);

/**
 * The cheapest course of both hands through a bar, from where they were. Every course keeps the rules whose breach
 * is an error (fingers, span, hard rate, reach, one string again); what breaks them is dropped at its worth.
 * `trail` holds what an earlier reading from the same place found, and is brought up to this one.
 */
export function playBar(from: HandCourse, asked: HandsAsked, trail: HandTrail = { steps: [] }): HandCourse {
  const groups = new Map<Ticks, Pluck[]>();
  for (const p of asked.plucks) {
    const list = groups.get(p.onset);
    if (list === undefined) groups.set(p.onset, [p]);
    else list.push(p);
  }
  let courses: HandCourse[] = [from];
  let before = -1;
  const steps: HandTrail['steps'] = [];
  let same = true;
  for (const [tick, plucks] of [...groups].sort(([a], [b]) => a - b)) {
    const known = same ? trail.steps[steps.length] : undefined;
    const rolledIds = plucks.map((p) => (asked.rolled.has(p.id) ? '1' : '0')).join('');
    if (known !== undefined && known.rolled === rolledIds && alike(known.plucks, plucks)) {
      courses = known.courses;
      steps.push(known);
      before = asked.microsAt(tick);
      continue;
    }
    same = false;
    const notes = plucks
      .map((pluck): Note => ({ pluck, string: stringOf(pluck.pitch), worth: asked.worth(pluck.id) }))
      .sort((a, b) => a.string - b.string || a.pluck.pitch.alter - b.pluck.pitch.alter);
    const at = asked.microsAt(tick);
    const quick = before >= 0 && at - before < 200_000;
    before = at;
    const isRolled = (some: readonly Note[]): boolean =>
      some.length > 1 && some.every((n) => asked.rolled.has(n.pluck.id));
    const onset: Onset = {
      at,
      notes,
      isRolled,
      staff: asked.keptHands?.has(tick) === true ? REFUSED : COST.staff,
      mayRoll: asked.unrolled?.has(tick) !== true,
    };
    const next: Draft[] = [];
    const caps =
      notes.length > 2 && (quick || asked.ease > 2) ? [4, 2, 1] : notes.length > 1 && quick ? [4, 1] : [4];
    const isLeft = (n: Note): boolean => n.pluck.hand === 'L';
    const printed = notes.filter(isLeft);
    const contiguous = printed.every((n, i) => n === notes[i]);
    for (const course of courses) {
      // A string just struck is not free yet.
      const isFree = (n: Note): boolean =>
        !course.touched.some((t) => t.string === n.string && at - t.at + 1 < LIMITS.sameString.value);
      const free = notes.every(isFree) ? notes : notes.filter(isFree);
      for (const most of caps) {
        for (let k = 0; k <= free.length; k++) {
          // With as few in each hand, a smaller hand strikes the same.
          if (most < FINGERS_PER_HAND.count && k <= most && free.length - k <= most) continue;
          next.push(draft(course, onset, free.slice(0, k), free.slice(k), most, asked.ease));
        }
        if (!contiguous) {
          const right = free.filter((n) => !isLeft(n));
          next.push(draft(course, onset, free.filter(isLeft), right, most, asked.ease));
        }
      }
    }
    courses = prune(next, onset);
    steps.push({ plucks, rolled: rolledIds, courses });
  }
  trail.steps = steps;
  return courses[0] as HandCourse;
}
