/** Hands for one bar of a reduction: who plays what, what is rolled, and what no finger is left for. */

import type { Ticks } from '../base/units';
import { FINGERS_PER_HAND } from '../harp/hands';
import { stringOf } from '../harp/strings';
import type { Hand, Pluck } from '../music/passage';
import { DEFAULT_LIMITS as LIMITS } from '../playability/limits';
import {
  type Note,
  type Onset,
  type Shape,
  type Struck,
  type Touched,
  fit,
  groupWith,
  repeatCost,
  shapeCost,
} from './reduce-shapes';

/** Points of each note taken by the other hand than it is printed for, and of each string that the hands cross. */
const COST = { staff: 3, quick: 2, crossed: 2 } as const;
/** Points of a quick single line that goes from one hand to the other, and back after one or two, times the wish for ease. */
const OVER = { points: 3, lone: 6, few: 3, within: 200_000 } as const;
/** Points of a printed voice that turns to the other hand, or back, times the wish for ease: a stretch goes over whole. */
const TURN = 6;
/** More notes than these are a chord, which hands may share. */
const VOICE = 2;
/** Points of each note that changes hands where that was refused: whatever else can be done is done first. */
const REFUSED = 3000;
/** Courses kept at each onset. */
const BEAM = 10;
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
  /** Printed staves whose last notes the other hand took, in bits: 1 the right's, 2 the left's. */
  readonly over: number;
  readonly choice: Choice | null;
  readonly from: HandCourse | null;
}

export const RESTING: HandCourse = { cost: 0, R: [], L: [], touched: [], over: 0, choice: null, from: null };

const REMEMBERED = 8;

/** What both hands might strike next: weighed first, written down only if it is among the cheapest. */
interface Draft {
  readonly cost: number;
  readonly from: HandCourse;
  readonly L: Shape;
  readonly R: Shape;
  readonly over: number;
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
  let taken = 0;
  for (const n of L.notes) {
    if (n.pluck.hand !== 'R') continue;
    cost += onset.staff;
    taken |= 1;
  }
  for (const n of R.notes) {
    if (n.pluck.hand !== 'L') continue;
    cost += onset.staff;
    taken |= 2;
  }
  const over = (course.over & ~onset.voices) | (taken & onset.voices);
  const turned = over ^ course.over;
  cost += ((turned & 1) + (turned >> 1)) * TURN * ease;
  if (onset.notes.length === 1) {
    const [own, other] =
      L.notes.length > 0 ? [course.L.at(-1), course.R.at(-1)] : [course.R.at(-1), course.L.at(-1)];
    if (other?.count === 1 && at - other.at < OVER.within && other.at > (own?.at ?? -1)) {
      cost += (OVER.points + (other.group.length < OVER.few ? OVER.lone : 0)) * ease;
    }
  }
  const lastR = R.notes.length > 0 ? (R.notes.at(-1) as Note).string : course.R.at(-1)?.high;
  if (L.notes.length > 0 && lastR !== undefined) {
    cost += Math.max(0, (L.notes[0] as Note).string - lastR) * COST.crossed;
  }
  return { cost, from: course, L, R, over };
}

const spotOf = (last: Struck | undefined, at: number, s: Shape): Struck => ({
  at,
  count: s.notes.length,
  low: (s.notes[0] as Note).string,
  high: (s.notes.at(-1) as Note).string,
  group: groupWith(
    last,
    s.notes.map((n) => n.string),
    at,
  ),
});

/** Where the hands are after a draft. */
function courseOf({ cost, from, L, R, over }: Draft, onset: Onset): HandCourse {
  const { at } = onset;
  const struck = (past: readonly Struck[], s: Shape): readonly Struck[] =>
    s.notes.length === 0 ? past : [...past.slice(-REMEMBERED), spotOf(past.at(-1), at, s)];
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
    over,
    choice: { left: ids(L.notes), right: ids(R.notes), dropped: ids(dropped), rolled },
    from,
  };
}

const keyOfSpot = (s: Struck | undefined): string =>
  s === undefined ? '-' : `${s.low},${s.high},${s.at},${s.count},${s.group.length}`;
const keyOfHand = (past: readonly Struck[], s: Shape, at: number): string =>
  keyOfSpot(s.notes.length === 0 ? past.at(-1) : spotOf(past.at(-1), at, s));

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
  readonly keptHands?: (at: Ticks) => boolean;
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
    const ofRight = notes.filter((n) => n.pluck.hand === 'R');
    const ofLeft = notes.filter((n) => n.pluck.hand !== 'R');
    // Hands printed across each other have to change over.
    const [top, low] = [ofRight.at(-1)?.string ?? Infinity, ofLeft[0]?.string ?? 0];
    const isVoice = ({ length }: readonly Note[]): boolean => length > 0 && length <= VOICE && top >= low;
    const onset: Onset = {
      at,
      notes,
      voices: (isVoice(ofRight) ? 1 : 0) | (isVoice(ofLeft) ? 2 : 0),
      isRolled,
      staff:
        asked.keptHands?.(tick) === true ? REFUSED : quick && notes.length === 1 ? COST.quick : COST.staff,
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
