/** The forms of the hands on a chord, what they ask for, and what a hand's notes cost by themselves. */

import { stringOf } from '../harp/strings';
import { type Pitch, midiOf } from '../music/pitch';
import type { Range } from './register';
import type { SpelledChord, Tone } from './spelling';

/**
 * Forms of the left hand, which stand on the bass: the bass; its octave; `low`, the bass and open chord tones above;
 * `eighth`, root, fifth and octave; `tenth`, root, fifth and tenth; `close`, the next chord tones; `every-other` of them, for hands that interlock; `run`
 * and `scale`, a line of chord or scale tones that the hand follows up the harp.
 */
export const LEFT_FORMS = [
  'bass',
  'octave',
  'low',
  'eighth',
  'tenth',
  'close',
  'every-other',
  'run',
  'scale',
] as const;
/**
 * Forms of the right hand: `close`; `open`, the largest gap under the thumb; `octave`; `filled`, an octave with notes
 * between; `free`, any chord tones that a hand spans; `interlocked`, a chord tone between and above the left hand's; `run` and `scale`, lines; `double`, the left
 * hand an octave higher.
 */
export const RIGHT_FORMS = [
  'close',
  'open',
  'octave',
  'filled',
  'free',
  'interlocked',
  'run',
  'scale',
  'double',
] as const;
export type LeftForm = (typeof LEFT_FORMS)[number];
export type RightForm = (typeof RIGHT_FORMS)[number];

type OneOrMore<T> = T | readonly T[];

export interface LeftSpec {
  /** Of several, whichever voices best. */
  readonly form: OneOrMore<LeftForm>;
  /** Notes of a `low`, `tenth` or `close` hand (2–4) or of a line (up to 16); of several counts, whichever voices best. */
  readonly notes: OneOrMore<number>;
  /** Strings on which the bass may lie. */
  readonly window: Range;
  /** Widest span of a `low` hand in strings; a tenth (9) unless said. */
  readonly reach?: number;
}

export interface RightSpec {
  readonly form: OneOrMore<RightForm>;
  readonly notes: OneOrMore<number>;
  /** Strings on which the whole hand lies. */
  readonly window: Range;
  /** The lowest note follows the left hand's highest closely, for runs from hand to hand. */
  readonly joined: boolean;
  /** The right hand plays alone and stands on the bass itself. */
  readonly onBass?: boolean;
}

/** One way to lay out a hand. */
export interface HandChoice {
  /** From low to high. */
  readonly pitches: readonly Pitch[];
  readonly midi: readonly number[];
  /** Cost of the voicing by itself. */
  readonly cost: number;
  /** The tones that it is made of: what its notes move along when a figure shifts them. */
  readonly tones: readonly Tone[];
}

export const TENTH = 9;
export const listOf = <T>(x: OneOrMore<T>): readonly T[] =>
  Array.isArray(x) ? (x as readonly T[]) : [x as T];
export const at = (hand: HandChoice, i: number): number =>
  hand.midi[i < 0 ? hand.midi.length + i : i] as number;
const spanOf = (pitches: readonly Pitch[]): number =>
  stringOf(pitches.at(-1) as Pitch) - stringOf(pitches[0] as Pitch);
export const isLine = (form: LeftForm | RightForm): boolean => form === 'run' || form === 'scale';

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
  // Two notes alone should not be a second.
  if (midi.length === 2 && (midi[1] as number) - (midi[0] as number) <= 2) cost += 3;
  if (midi.length >= 3) {
    const gaps = midi.slice(1).map((m, i) => m - (midi[i] as number));
    if ((gaps.at(-1) as number) < Math.max(...gaps)) cost += 1;
    // The fourth finger a fifth from the third is still played, with a grumble.
    if (pitches.length === 4 && stringOf(pitches[1] as Pitch) - stringOf(pitches[0] as Pitch) > 3) cost += 4;
    if (spanOf(pitches) > 8) cost += 1;
  }
  return cost;
}

export const makeHand = (pitches: readonly Pitch[], tones: readonly Tone[], line = false): HandChoice => {
  const midi = pitches.map(midiOf);
  return { pitches, midi, cost: line ? 0 : ownCost(pitches, midi, tones), tones };
};

/** Every choice of `n` from a list, in order. */
export function choose<T>(items: readonly T[], n: number): T[][] {
  if (n === 0) return [[]];
  return items.flatMap((item, i) => choose(items.slice(i + 1), n - 1).map((rest) => [item, ...rest]));
}

/** The tones of a line: the scale, or the chord with its bass. */
export const lineTones = (spelled: SpelledChord, form: LeftForm | RightForm): readonly Tone[] =>
  form === 'scale' && spelled.scale !== undefined
    ? spelled.scale
    : spelled.tones.some((t) => t.pc === spelled.bass.pc)
      ? spelled.tones
      : [...spelled.tones, spelled.bass];

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
