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
  at: number,
  isRolled: (notes: readonly Note[]) => boolean,
  most: number,
): Shape {
  let notes = asked.filter((n) => hand === 'L' || n.string >= LANDMARKS.rightHandHardLow.string);
  const seen = new Map<number, Note>();
  for (const n of notes) {
    const other = seen.get(n.string);
    if (other === undefined || n.worth > other.worth) seen.set(n.string, n);
  }
  if (seen.size < notes.length) notes = notes.filter((n) => seen.get(n.string) === n);
  while (notes.length > Math.min(most, FINGERS_PER_HAND.count)) notes = without(notes, cheapest(notes));
  while (notes.length > 0 && !possible(past, notes.length, at)) notes = without(notes, cheapest(notes));
  let rolled = isRolled(notes);
  while (spanOf(notes) > SPANS.limit.strings) {
    if (spanOf(notes) <= WIDEST_ROLL && (rolled || notes.length > 2)) {
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
}

const REMEMBERED = 8;

function extend(
  course: HandCourse,
  onset: Onset,
  left: readonly Note[],
  right: readonly Note[],
  most: number,
  ease: number,
): HandCourse {
  const { at } = onset;
  const free = (n: Note): boolean =>
    !course.touched.some((t) => t.string === n.string && at - t.at + 1 < LIMITS.sameString.value);
  const L = fit('L', left.filter(free), course.L, at, onset.isRolled, most);
  const taken = new Set(L.notes.map((n) => n.string));
  const R = fit(
    'R',
    right.filter((n) => free(n) && !taken.has(n.string)),
    course.R,
    at,
    onset.isRolled,
    most,
  );
  const kept = new Set([...L.notes, ...R.notes]);
  const dropped = onset.notes.filter((n) => !kept.has(n));
  let cost = course.cost;
  for (const n of dropped) cost += n.worth;
  cost += shapeCost('L', L, course.L, at, ease) + shapeCost('R', R, course.R, at, ease);
  cost += repeatCost(L.notes, course.touched, at, ease) + repeatCost(R.notes, course.touched, at, ease);
  for (const n of L.notes) if (n.pluck.hand === 'R') cost += COST.staff;
  for (const n of R.notes) if (n.pluck.hand === 'L') cost += COST.staff;
  const lastR = R.notes.length > 0 ? (R.notes.at(-1) as Note).string : course.R.at(-1)?.high;
  if (L.notes.length > 0 && lastR !== undefined) {
    cost += Math.max(0, (L.notes[0] as Note).string - lastR) * COST.crossed;
  }
  const struck = (past: readonly Struck[], s: Shape): readonly Struck[] =>
    s.notes.length === 0
      ? past
      : [
          ...past.slice(-REMEMBERED),
          {
            at,
            count: s.notes.length,
            low: (s.notes[0] as Note).string,
            high: (s.notes.at(-1) as Note).string,
          },
        ];
  const ids = (notes: readonly Note[]): string[] => notes.map((n) => n.pluck.id);
  const rolled: Hand[] = [];
  for (const [hand, s] of [
    ['L', L],
    ['R', R],
  ] as const) {
    if (s.rolled && !onset.isRolled(s.notes)) rolled.push(hand);
  }
  return {
    cost,
    R: struck(course.R, R),
    L: struck(course.L, L),
    touched: [
      ...course.touched.filter((t) => at - t.at < 500_000),
      ...[...kept].map((n) => ({ string: n.string, at })),
    ],
    choice: { left: ids(L.notes), right: ids(R.notes), dropped: ids(dropped), rolled },
    from: course,
  };
}

const spotKey = (past: readonly Struck[]): string => {
  const s = past.at(-1);
  return s === undefined ? '-' : `${s.low},${s.high},${s.at},${s.count}`;
};

function prune(courses: readonly HandCourse[]): HandCourse[] {
  const seen = new Set<string>();
  const out: HandCourse[] = [];
  for (const c of [...courses].sort((a, b) => a.cost - b.cost)) {
    const key = `${spotKey(c.L)}|${spotKey(c.R)}`;
    if (seen.has(key)) continue;
    seen.add(key);
    out.push(c);
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
}

/**
 * The cheapest course of both hands through a bar, from where they were. Every course keeps the rules whose breach
 * is an error (fingers, span, hard rate, reach, one string again); what breaks them is dropped at its worth.
 */
export function playBar(from: HandCourse, asked: HandsAsked): HandCourse {
  const groups = new Map<Ticks, Pluck[]>();
  for (const p of asked.plucks) {
    const list = groups.get(p.onset);
    if (list === undefined) groups.set(p.onset, [p]);
    else list.push(p);
  }
  let courses: HandCourse[] = [from];
  let before = -1;
  for (const [tick, plucks] of [...groups].sort(([a], [b]) => a - b)) {
    const notes = plucks
      .map((pluck): Note => ({ pluck, string: stringOf(pluck.pitch), worth: asked.worth(pluck.id) }))
      .sort((a, b) => a.string - b.string || a.pluck.pitch.alter - b.pluck.pitch.alter);
    const at = asked.microsAt(tick);
    const quick = before >= 0 && at - before < 200_000;
    before = at;
    const isRolled = (some: readonly Note[]): boolean =>
      some.length > 1 && some.every((n) => asked.rolled.has(n.pluck.id));
    const onset: Onset = { at, notes, isRolled };
    const next: HandCourse[] = [];
    const caps =
      notes.length > 2 && (quick || asked.ease > 2) ? [4, 2, 1] : notes.length > 1 && quick ? [4, 1] : [4];
    const printed = notes.filter((n) => n.pluck.hand === 'L');
    const contiguous = printed.every((n, i) => n === notes[i]);
    for (const course of courses) {
      for (const most of caps) {
        for (let k = 0; k <= notes.length; k++) {
          next.push(extend(course, onset, notes.slice(0, k), notes.slice(k), most, asked.ease));
        }
        if (!contiguous) {
          const right = notes.filter((n) => n.pluck.hand !== 'L');
          next.push(extend(course, onset, printed, right, most, asked.ease));
        }
      }
    }
    courses = prune(next);
  }
  return courses[0] as HandCourse;
}
