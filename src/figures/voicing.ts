/** Chords laid out for two hands, with lines that move little: a shortest path over candidate voicings. */

import { stringOf } from '../harp/strings';
import { type Pitch, midiOf, octaveShift } from '../music/pitch';
import { shortest } from './path';
import { type Range, clip } from './register';
import type { Segment } from './segments';
import { type SpelledChord, type Tone, ladder } from './spelling';

/** How a hand's notes are stacked. The left hand's forms stand on the bass. */
export type LeftForm = 'bass' | 'octave' | 'low' | 'tenth';
export type RightForm = 'close' | 'open' | 'octave';

export interface LeftSpec {
  readonly form: LeftForm;
  /** Notes of a `low` hand, 2–4: root, fifth, octave, tenth and the like. */
  readonly notes: number;
  /** Strings on which the bass may lie. */
  readonly window: Range;
  /** Widest span of a `low` hand in strings; a tenth (9) unless said. */
  readonly reach?: number;
}

export interface RightSpec {
  readonly form: RightForm;
  readonly notes: number;
  /** Strings on which the whole hand lies. */
  readonly window: Range;
  /** The lowest note follows the left hand's highest closely, for runs from hand to hand. */
  readonly joined: boolean;
}

export interface Voicing {
  /** From low to high. */
  readonly left: readonly Pitch[];
  readonly right: readonly Pitch[];
}

interface Hand {
  readonly pitches: readonly Pitch[];
  readonly midi: readonly number[];
  /** Cost of the voicing by itself. */
  readonly cost: number;
}

const C3 = 48;
const F3 = 53;
const TENTH = 9;
const at = (hand: Hand, i: number): number => hand.midi[i < 0 ? hand.midi.length + i : i] as number;
const spanOf = (pitches: readonly Pitch[]): number =>
  stringOf(pitches.at(-1) as Pitch) - stringOf(pitches[0] as Pitch);

/** Semitones between neighbours below C3: nothing smaller than a fifth above the lowest, a fourth above that. */
function wideEnough(midi: readonly number[]): boolean {
  for (let i = 1; i < midi.length; i++) {
    const below = midi[i - 1] as number;
    if (below < C3 && (midi[i] as number) - below < (i === 1 ? 6 : 5)) return false;
  }
  return true;
}

/** Inner clashes and doublings, in points: a ninth rubs, a third doubled is thick, a low tension muddies. */
function ownCost(pitches: readonly Pitch[], midi: readonly number[], tones: readonly Tone[]): number {
  let cost = 0;
  const seen = new Set<number>();
  for (let i = 0; i < midi.length; i++) {
    const m = midi[i] as number;
    const degree = tones.find((t) => t.pc === m % 12)?.degree ?? 0;
    if (seen.has(m % 12)) cost += degree === 1 || degree === 5 ? 1 : degree === 3 ? 4 : 3;
    seen.add(m % 12);
    if (i === 0 && midi.length > 2 && (degree === 9 || degree === 11 || degree === 13)) cost += 2;
    for (let j = 0; j < i; j++) {
      const gap = m - (midi[j] as number);
      if (gap === 13 || (gap === 1 && i === midi.length - 1)) cost += 4;
    }
  }
  if (midi.length >= 3) {
    const gaps = midi.slice(1).map((m, i) => m - (midi[i] as number));
    if ((gaps.at(-1) as number) < Math.max(...gaps)) cost += 1;
    // The fourth finger a fifth from the third is still played, with a grumble.
    if (pitches.length === 4 && stringOf(pitches[1] as Pitch) - stringOf(pitches[0] as Pitch) > 3) cost += 4;
    if (spanOf(pitches) > 8) cost += 1;
  }
  return cost;
}

const makeHand = (pitches: readonly Pitch[], tones: readonly Tone[]): Hand => {
  const midi = pitches.map(midiOf);
  return { pitches, midi, cost: ownCost(pitches, midi, tones) };
};

/** Degrees that make a chord what its symbol says: guide tones, then the tensions that the composer asked for. */
const MISSED: Readonly<Record<number, number>> = { 2: 3, 3: 3, 4: 3, 6: 2, 7: 3, 9: 2, 11: 2, 13: 2 };

/** A right-hand chord without what its symbol names says little; three neighbouring seconds are a cluster. */
function chordCost(hand: Hand, tones: readonly Tone[]): number {
  if (hand.midi.length < 3) return 0;
  const missed = tones
    .filter((t) => !hand.midi.some((m) => m % 12 === t.pc))
    .reduce((sum, t) => sum + (MISSED[t.degree] ?? 0), 0);
  const clusters = hand.midi.filter((m, i) => i > 1 && m - (hand.midi[i - 2] as number) <= 4).length;
  return missed + 3 * clusters;
}

/** Every choice of `n` from a list, in order. */
function choose<T>(items: readonly T[], n: number): T[][] {
  if (n === 0) return [[]];
  return items.flatMap((item, i) => choose(items.slice(i + 1), n - 1).map((rest) => [item, ...rest]));
}

function basses(spelled: SpelledChord, window: Range): Pitch[] {
  const found = ladder([spelled.bass], window[0], window[1]);
  if (found.length > 0) return found;
  // A narrow window may miss the letter: the next string above, then below.
  const above = ladder([spelled.bass], window[1], window[1] + 6);
  return above.length > 0 ? above : ladder([spelled.bass], window[0] - 6, window[0]);
}

export function leftHands(spelled: SpelledChord, spec: LeftSpec): Hand[] {
  const tones = spelled.tones;
  return basses(spelled, spec.window).flatMap((bass) => {
    if (spec.form === 'bass') return [makeHand([bass], tones)];
    if (spec.form === 'octave') return [makeHand([bass, octaveShift(bass, 1)], tones)];
    const low = stringOf(bass);
    const above = ladder(
      [...tones.filter((t) => t.pc !== spelled.bass.pc), spelled.bass],
      low + 1,
      low + (spec.reach ?? TENTH),
    );
    for (let n = spec.notes - 1; n > 0; n--) {
      const hands = choose(above, n)
        .map((rest) => makeHand([bass, ...rest], tones))
        .filter((h) => wideEnough(h.midi) && handShape(h.pitches));
      if (hands.length > 0)
        return hands.map((h) => ({
          ...h,
          cost: h.cost + openness(h, spelled) + (spec.form === 'tenth' ? tenthless(h) : 0),
        }));
    }
    return [makeHand([bass], tones)];
  });
}

/** A low hand sounds open on the fifth, octave and tenth; other tones cost. */
function openness(hand: Hand, spelled: SpelledChord): number {
  let cost = 0;
  const root = at(hand, 0);
  for (const m of hand.midi.slice(1)) {
    const gap = m - root;
    const degree = spelled.tones.find((t) => t.pc === m % 12)?.degree ?? 1;
    if (degree > 7) cost += 3;
    if (degree === 7 && hand.midi.length === 2) cost += 2;
    // A third or a sixth close above the bass is thick, the lower the thicker.
    if (gap < 10 && degree !== 5 && degree !== 1) cost += root < F3 ? 3 : 1;
  }
  return cost;
}

/** Points for a hand that should open to a tenth with the fifth between, and does not. */
function tenthless(hand: Hand): number {
  const gaps = hand.midi.map((m) => m - at(hand, 0));
  const [fifth, tenth] = [gaps.some((g) => g >= 6 && g <= 8), gaps.some((g) => g >= 14 && g <= 17)];
  return (fifth ? 0 : 3) + (tenth ? 0 : 6);
}

/**
 * Spacing of one hand: span within a tenth; lowest two of four within a fifth, the middle two within a fourth;
 * lowest two of three within an octave (common practice).
 */
export function handShape(pitches: readonly Pitch[]): boolean {
  if (pitches.length < 2) return true;
  const strings = pitches.map(stringOf);
  const first = (strings[1] as number) - (strings[0] as number);
  if (Math.max(...strings) - Math.min(...strings) > TENTH) return false;
  if (strings.some((s, i) => i > 0 && s <= (strings[i - 1] as number))) return false;
  if (pitches.length === 4) return first <= 4 && (strings[2] as number) - (strings[1] as number) <= 3;
  return pitches.length !== 3 || first <= 7;
}

/** The tones that a hand of `notes` above a bass uses: telling ones first, at most four. */
export function upperTones(spelled: SpelledChord, notes: number, rootless: boolean): readonly Tone[] {
  const wanted = Math.min(4, Math.max(notes, 3));
  const rich = spelled.tones.length > wanted || (rootless && spelled.tones.length > 3);
  const pool = rich && rootless ? spelled.tones.filter((t) => t !== spelled.root) : spelled.tones;
  return pool.slice(0, wanted);
}

/** Chords of one form and number of notes on the rungs, in the hand's shape. */
function stacks(rungs: readonly Pitch[], form: RightForm, notes: number, starts: number): Pitch[][] {
  const out: Pitch[][] = [];
  for (let i = 0; i < Math.min(starts, rungs.length); i++) {
    const low = rungs[i] as Pitch;
    const upper =
      form === 'octave'
        ? [octaveShift(low, 1)]
        : form === 'open' && notes > 1
          ? [...rungs.slice(i + 1, i + notes - 1), ...rungs.slice(i + notes, i + notes + 1)]
          : rungs.slice(i + 1, i + notes);
    const hand = [low, ...upper];
    if (hand.length === (form === 'octave' ? 2 : notes) && handShape(hand)) out.push(hand);
  }
  return out;
}

/** The right hand's choices above a left hand; fewer notes than asked where a chord of few tones spreads too far. */
export function rightHands(spelled: SpelledChord, spec: RightSpec, left: Hand, rootless: boolean): Hand[] {
  const tones = upperTones(spelled, spec.form === 'octave' ? 3 : spec.notes, rootless);
  const floor = Math.max(spec.window[0], stringOf(left.pitches.at(-1) as Pitch) + 1);
  const rungs = ladder(tones, floor, Math.max(spec.window[1], floor + TENTH)).filter(
    (p) => midiOf(p) > at(left, -1),
  );
  const starts = spec.joined ? 3 : rungs.length;
  for (let notes = spec.notes; notes > 0; notes--) {
    for (const form of [spec.form, 'close'] as const) {
      const found = stacks(rungs, form, notes, starts);
      const inside = found.filter((h) => stringOf(h.at(-1) as Pitch) <= spec.window[1]);
      const usable = inside.length > 0 ? inside : found.slice(0, 1);
      if (usable.length > 0)
        return usable.map((pitches) => {
          const hand = makeHand(pitches, tones);
          return { ...hand, cost: hand.cost + chordCost(hand, tones) };
        });
    }
  }
  // Nothing of the chord above the left hand: cannot be, since rungs reach a tenth above it.
  return [makeHand([octaveShift(left.pitches.at(-1) as Pitch, 1)], tones)];
}

/** Points for a step of the top line: seconds are free to cheap, leaps dear. */
export function lineCost(semitones: number): number {
  const m = Math.abs(semitones);
  return m <= 2 ? (m === 0 ? 1 : 0) : m <= 4 ? 2 : m <= 7 ? m : Math.min(2 * m, 24);
}

function moveCost(a: Hand, b: Hand): number {
  let common = 0;
  for (const m of b.midi) if (a.midi.includes(m)) common++;
  return 2 * lineCost(at(b, -1) - at(a, -1)) + (b.midi.length - common);
}

/** Points for a top note that stays when the chord does. */
const STILL = 12;

const bassCost = (a: Hand, b: Hand): number => {
  const m = Math.abs(at(b, 0) - at(a, 0));
  return m <= 7 ? (m >> 1) + (Math.abs(at(b, -1) - at(a, -1)) >> 2) : m;
};

export interface VoicingPlan {
  readonly left: LeftSpec;
  readonly right: RightSpec;
  /** String about which the right hand's top line should lie. */
  readonly aim: number;
  /** Strings by which the aim moves in the four bars of a phrase. */
  readonly contour?: readonly number[];
  /** Leave the root of fuller chords to the bass. */
  readonly rootless: boolean;
}

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
  const rights = shortest(
    segments.map((s, i) => rightHands(s.spelled, rightSpec, lefts[i] as Hand, plan.rootless)),
    (h, i) => {
      const top = h.pitches.at(-1) as Pitch;
      const lift = plan.contour?.[(segments[i]?.bar ?? 0) % 4] ?? 0;
      const away = Math.abs(stringOf(top) - plan.aim - lift) >> 1;
      const degree = segments[i]?.spelled.tones.find((t) => t.pc === at(h, -1) % 12)?.degree ?? 0;
      const closing = segments[i]?.last === true && degree !== 1 && degree !== 3 && degree !== 5 ? 6 : 0;
      const gap = at(h, 0) - at(lefts[i] as Hand, -1);
      return h.cost + away + closing + (plan.right.joined && gap > 7 ? gap - 7 : 0);
    },
    // A chord that lasts goes to another of its positions in the next bar.
    (a, b, i) => moveCost(a, b) + (segments[i]?.fresh === false && at(a, -1) === at(b, -1) ? STILL : 0),
  );
  return segments.map((_, i) => ({
    left: (lefts[i] as Hand).pitches,
    right: (rights[i] as Hand).pitches,
  }));
}
