/** Chords laid out for two hands, with lines that move little: a shortest path over candidate voicings. */

import { stringOf } from '../harp/strings';
import type { Pitch } from '../music/pitch';
import { type HandChoice, type LeftSpec, type RightSpec, at } from './hand-forms';
import { leftHands } from './left-hands';
import { shortest } from './path';
import { type Range, clip } from './register';
import { type Tendencies, tendencies } from './resolution';
import { rightHands } from './right-hands';
import type { Segment } from './segments';
import type { Tone } from './spelling';

export interface Voicing {
  /** From low to high. */
  readonly left: readonly Pitch[];
  readonly right: readonly Pitch[];
  /** What a note of the hand moves along when a figure shifts it. */
  readonly leftTones: readonly Tone[];
  readonly rightTones: readonly Tone[];
}

/** Points for a step of the top line: seconds are free to cheap, leaps dear. */
export function lineCost(semitones: number): number {
  const m = Math.abs(semitones);
  return m <= 2 ? (m === 0 ? 1 : 0) : m <= 4 ? 2 : m <= 7 ? m : Math.min(2 * m, 24);
}

/** Twice the key in the middle of a hand. */
const twiceMiddle = (h: HandChoice): number => at(h, 0) + at(h, -1);

/** Points from hand to hand: the top line, notes that do not stay, and how far the hand's middle moves. */
function moveCost(a: HandChoice, b: HandChoice): number {
  let common = 0;
  for (const m of b.midi) if (a.midi.includes(m)) common++;
  const moved = 2 * Math.abs(twiceMiddle(b) - twiceMiddle(a));
  return 2 * lineCost(at(b, -1) - at(a, -1)) + (b.midi.length - common) + moved;
}

/** Points for a tone that wants to go on and is left: twice for the top. */
const LEFT = 6;

/** Points for sevenths and leading tones of `a` that `b` does not take on. */
function leftCost(a: HandChoice, b: HandChoice, asks: Tendencies): number {
  let cost = 0;
  a.midi.forEach((m, i) => {
    const steps = asks[m % 12] as readonly number[];
    if (steps.length > 0 && !steps.some((s) => b.midi.includes(m + s)))
      cost += i === a.midi.length - 1 ? 2 * LEFT : LEFT;
  });
  return cost;
}

/** G6, where the top octave begins, and points for a loud close in it. */
const TOP_OCTAVE = 39;
const SHRILL = 20;

/** Points for a top note that stays when the chord does. */
const STILL = 30;

const C4 = 60;
/** Points for a low string that rings on into a chord it is foreign to, unless it is struck anew. */
const RINGS = 2;

/** Strings below C4 of a left hand that the next neither takes nor agrees with. */
function foreignRing(a: HandChoice, b: HandChoice): number {
  let count = 0;
  a.pitches.forEach((p, i) => {
    const m = a.midi[i] as number;
    if (m >= C4 || b.tones.some((t) => t.pc === m % 12)) return;
    if (!b.pitches.some((q) => q.letter === p.letter && q.octave === p.octave)) count++;
  });
  return count;
}

const bassCost = (a: HandChoice, b: HandChoice): number => {
  const m = Math.abs(at(b, 0) - at(a, 0));
  const line = m <= 7 ? (m >> 1) + (Math.abs(at(b, -1) - at(a, -1)) >> 2) : m;
  return line + RINGS * foreignRing(a, b);
};

export interface VoicingPlan {
  readonly left: LeftSpec;
  readonly right: RightSpec;
  /** String about which the right hand's top line should lie. */
  readonly aim: number;
  /** Strings by which the aim moves in the four bars of a phrase. */
  readonly contour?: readonly number[];
  /** Played f or louder: the close stays below the top octave, which cannot answer (common practice). */
  readonly loud?: boolean;
  /** Leave the root of fuller chords to the bass. */
  readonly rootless: boolean;
}

/** Two hands' choices as one voicing. */
export const voicingOf = (left: HandChoice, right: HandChoice): Voicing => ({
  left: left.pitches,
  right: right.pitches,
  leftTones: left.tones,
  rightTones: right.tones,
});

/** One voicing a segment: first the bass line and the left hand on it, then the right hand above. */
export function voice(segments: readonly Segment[], plan: VoicingPlan, compass: Range): Voicing[] {
  if (segments.length === 0) return [];
  const leftSpec = { ...plan.left, window: clip(plan.left.window, compass) };
  const rightSpec = { ...plan.right, window: clip(plan.right.window, compass) };
  const lefts = shortest(
    segments.map((s) => leftHands(s.spelled, leftSpec)),
    (h) => h.cost,
    bassCost,
  );
  const asks = segments.map((s, i): Tendencies => tendencies((segments[i - 1] ?? s).chord, s.chord));
  const rights = shortest(
    segments.map((s, i) => rightHands(s.spelled, rightSpec, lefts[i] as HandChoice, plan.rootless)),
    (h, i) => {
      const top = h.pitches.at(-1) as Pitch;
      const lift = plan.contour?.[(segments[i]?.bar ?? 0) % 4] ?? 0;
      const away = Math.abs(stringOf(top) - plan.aim - lift) >> 1;
      const degree = segments[i]?.spelled.tones.find((t) => t.pc === at(h, -1) % 12)?.degree ?? 0;
      const closing = segments[i]?.last === true && degree !== 1 && degree !== 3 && degree !== 5 ? 6 : 0;
      const shrill =
        plan.loud === true && segments[i]?.last === true && stringOf(top) >= TOP_OCTAVE ? SHRILL : 0;
      const gap = at(h, 0) - at(lefts[i] as HandChoice, -1);
      return h.cost + away + closing + shrill + (plan.right.joined && gap > 7 ? gap - 7 : 0);
    },
    // A chord that lasts goes to another of its positions in the next bar.
    (a, b, i) =>
      moveCost(a, b) +
      leftCost(a, b, asks[i] as Tendencies) +
      (segments[i]?.fresh === false && at(a, -1) === at(b, -1) ? STILL : 0),
  );
  return segments.map((_, i) => voicingOf(lefts[i] as HandChoice, rights[i] as HandChoice));
}
