/** What a fingering costs: whole points for stretches, crossings, repeated fingers and short groups. */

import type { Finger } from '../music/passage';
import { FINGERS_PER_HAND, SPANS, STRAIN, fingerGap } from '../harp/hands';
import type { StringIndex } from '../harp/strings';

/** Fingers of an onset from the lowest string up; the thumb on top in both hands (Freund & Cutler; Harp Legacy Project). */
export type Fingers = readonly Finger[];

/** One onset of one hand: different strings from the lowest up, and the time since the hand's last onset. */
export interface Place {
  readonly strings: readonly StringIndex[];
  /** Microseconds since the hand's last onset; 0 for its first. */
  readonly since: number;
}

/** Points. Common practice. */
export const POINTS = {
  /** Per string beyond a pair's comfortable gap, and per string beyond what it reaches. */
  stretch: 1,
  beyond: 10,
  /** Per string that a pair is too close for the fingers between them. */
  cramped: 2,
  /** A chord without the thumb. */
  noThumb: 3,
  /** A single note with the third or fourth finger: the weaker ones. */
  weak: 1,
  /** A second finger beside the thumb in a chord as wide as a tenth (Harp Legacy Project). */
  strain: 4,
  /** Thumb over or a finger under the thumb: a connected new group; farther than a fourth, per string. */
  cross: 3,
  crossFar: 1,
  /** Any other crossing. */
  tangle: 8,
  /** A new group after one of fewer than three. */
  shortGroup: 2,
  /** One finger on two strings in turn; without the time to place it again; on one string again. */
  sameFinger: 6,
  sameFingerQuick: 120,
  sameString: 1,
  /** A leap beyond the hand, and a group wider than the hand. */
  newPlace: 2,
  wideGroup: 3,
  /** To and from chords: a finger that changes its string without the time for it, a pair out of order. */
  chordFinger: 1,
  chordOrder: 2,
} as const;

/** Gaps in strings between two fingers, the upper one first: least, comfortable; the most is the table of the hand. */
const PAIRS: Readonly<Record<string, readonly [number, number]>> = {
  '12': [1, 4],
  '13': [2, 5],
  '14': [3, 9],
  '23': [1, 2],
  '24': [2, 4],
  '34': [1, 2],
};

function pairPoints(upper: Finger, lower: Finger, gap: number): number {
  const [least, easy] = PAIRS[`${upper}${lower}`] as readonly [number, number];
  const most = fingerGap(upper, lower);
  return (
    POINTS.cramped * Math.max(0, least - gap) +
    POINTS.stretch * Math.max(0, Math.min(gap, most) - easy) +
    POINTS.beyond * Math.max(0, gap - most)
  );
}

/** Points of every pair of fingers and gap up to two octaves: [upper × 4 + lower - 5][gap]. */
const PAIR_TABLE: readonly (readonly number[])[] = Array.from({ length: 16 }, (_, k) => {
  const [upper, lower] = [((k >> 2) + 1) as Finger, ((k & 3) + 1) as Finger];
  return Array.from({ length: 15 }, (_, gap) => (upper < lower ? pairPoints(upper, lower, gap) : 0));
});

/** Points of two fingers `gap` strings apart; `upper` < `lower`. */
export function pairCost(upper: Finger, lower: Finger, gap: number): number {
  const known = (PAIR_TABLE[4 * (upper - 1) + lower - 1] as readonly number[])[gap];
  return known ?? pairPoints(upper, lower, gap);
}

/** All ways to finger `n` strings at once, lowest string first; beyond four the lowest share the fourth finger. */
export function waysToFinger(n: number): readonly Fingers[] {
  const known = n > 0 ? WAYS[n] : undefined;
  return known ?? [Array.from({ length: n }, (_, i) => Math.min(4, n - i) as Finger)];
}

const WAYS: readonly (readonly Fingers[])[] = Array.from({ length: FINGERS_PER_HAND.count + 1 }, (_, n) => {
  const out: Finger[][] = [];
  for (let mask = 0; mask < 16; mask++) {
    const fingers = ([1, 2, 3, 4] as const).filter((f) => (mask >> (f - 1)) & 1);
    if (fingers.length === n && n > 0) out.push([...fingers].reverse());
  }
  return out.sort((a, b) => Number([...a].reverse().join('')) - Number([...b].reverse().join('')));
});

/** What the fingers of one onset cost by themselves. */
export function shapeCost(strings: readonly StringIndex[], fingers: Fingers): number {
  const n = strings.length;
  const top = fingers[n - 1] as Finger;
  if (n === 1) return top > 2 ? POINTS.weak : 0;
  let cost = top === 1 ? 0 : POINTS.noThumb;
  for (let i = 1; i < n; i++) {
    const [upper, lower] = [fingers[i] as Finger, fingers[i - 1] as Finger];
    if (upper < lower) {
      cost += pairCost(upper, lower, (strings[i] as number) - (strings[i - 1] as number));
    }
  }
  const wide = (strings[n - 1] as number) - (strings[0] as number) >= STRAIN.strings;
  const beside = (strings[n - 1] as number) - (strings[n - 2] as number) === 1;
  if (n > 2 && wide && beside && top === 1 && fingers[n - 2] === 2) cost += POINTS.strain;
  return cost;
}

/** Microseconds that a finger needs to be placed again (common practice). */
const PLACING = 250_000;

/** How much haste makes of a cost: a new group needs a quarter of a second, or a connecting finger. */
export const haste = (since: number): number => (since < PLACING ? 4 : since < 600_000 ? 2 : 1);

export interface Step {
  readonly cost: number;
  /** Notes in the placed group so far, this one included: 1–4. */
  readonly length: number;
}

function chordStep(a: Place, af: Fingers, b: Place, bf: Fingers): number {
  const way = Math.abs(
    (a.strings[0] as number) +
      (a.strings.at(-1) as number) -
      (b.strings[0] as number) -
      (b.strings.at(-1) as number),
  );
  // A hand that moves an octave or more is set anew.
  if (way >= 14) return POINTS.newPlace * haste(b.since);
  let cost = 0;
  for (let i = 0; i < b.strings.length; i++) {
    for (let k = 0; k < a.strings.length; k++) {
      const up = (b.strings[i] as number) - (a.strings[k] as number);
      const finger = (bf[i] as number) - (af[k] as number);
      if (up === 0 && finger === 0) continue;
      if (finger === 0) cost += b.since < PLACING ? POINTS.chordFinger : 0;
      else if (up * finger > 0) cost += POINTS.chordOrder;
    }
  }
  return cost * haste(b.since);
}

/**
 * The step from one onset of a hand to its next. `length` is the placed group's so far, `start` its first string.
 * Single notes in one direction with fingers in order are one placed group, as far as the hand spans.
 */
export function stepCost(
  a: Place,
  af: Fingers,
  length: number,
  start: StringIndex,
  direction: number,
  b: Place,
  bf: Fingers,
): Step {
  if (a.strings.length > 1 || b.strings.length > 1) return { cost: chordStep(a, af, b, bf), length: 1 };
  const weight = haste(b.since);
  const [s, t] = [a.strings[0] as number, b.strings[0] as number];
  const [from, to] = [af[0] as Finger, bf[0] as Finger];
  const way = t - s;
  const gap = Math.abs(way);
  if (gap > SPANS.limit.strings) return { cost: POINTS.newPlace * weight, length: 1 };
  if (way === 0) return { cost: from === to ? POINTS.sameString * weight : POINTS.sameString, length: 1 };
  if (from === to) {
    return { cost: b.since < PLACING ? POINTS.sameFingerQuick : POINTS.sameFinger * weight, length: 1 };
  }
  const inOrder = way > 0 === to < from;
  if (inOrder) {
    const pair = pairCost(to < from ? to : from, to < from ? from : to, gap) * weight;
    const onward = length > 1 && way > 0 === direction > 0;
    if (!onward) return { cost: pair, length: 2 };
    if (Math.abs(t - start) <= SPANS.limit.strings) return { cost: pair, length: length + 1 };
    return { cost: pair + POINTS.wideGroup * weight, length: 1 };
  }
  const thumb = way > 0 ? from === 1 : to === 1;
  const short = length < 3 ? POINTS.shortGroup : 0;
  const far = Math.max(0, gap - 3) * POINTS.crossFar;
  return { cost: ((thumb ? POINTS.cross : POINTS.tangle) + far + short) * weight, length: 1 };
}
