/** Settings for one glissando as it is asked for: its content, what else may sound, its ends, its fingers. */

import { type Instrument, CONCERT_HARP } from '../harp/instrument';
import { NATURAL_SETTING, type Position, type Setting, positionOf, withPosition } from '../harp/setting';
import { type StringIndex, stringLetter, stringOf, stringPitch } from '../harp/strings';
import { bitCount } from '../harp/sweep-settings';
import { type Letter, type Pitch, harpSpellings, midiOf, pitchClass } from '../music/pitch';
import { type ParallelSound, type Shape, parallelSound } from './gliss-fingers';
import { type GlissSetting, compareSettings, describeSetting, pitchClassesOf, pitchSet } from './glissando';

export interface GlissAsk {
  /** Pitch classes that are to sound. */
  readonly content: readonly number[];
  /** Pitch classes that may sound as well; none unless given. */
  readonly allowed?: readonly number[];
  /** First and last pitch of the lowest finger's sweep, in either order; whole octaves unless given. */
  readonly ends?: { readonly from: Pitch; readonly to: Pitch } | null;
  /** The parallel shape of the fingers; one finger unless given. */
  readonly shape?: Shape | null;
  /** The setting in force: letters that are not swept stay as it has them, and moves count from it. */
  readonly standing?: Setting;
  readonly instrument?: Instrument;
  /** False leaves out settings in which a string sounds below its lower neighbour. */
  readonly crossing?: boolean;
  /** What makes a setting near where none is right: nothing foreign, or nothing missing. */
  readonly prefer?: 'purity' | 'coverage';
  /** Settings told as nearest; 8 unless given. */
  readonly most?: number;
}

export interface GlissFound extends GlissSetting {
  /** Pitch classes that sound, are not in the content, and are allowed. */
  readonly also: readonly number[];
  /** Strings swept by the lowest finger; null over whole octaves. */
  readonly from: StringIndex | null;
  readonly to: StringIndex | null;
  /** Neighbouring strings at one pitch, among those swept (over an octave where no ends are given). */
  readonly doubled: number;
  /** What the fingers sound together; null for one finger. */
  readonly parallel: ParallelSound | null;
}

export interface GlissAnswer {
  /** All of the content, nothing but what is allowed; exact ones first, then best first. */
  readonly settings: readonly GlissFound[];
  /** Where there is none: the nearest, with what is wrong in each. */
  readonly nearest: readonly GlissFound[];
  /** True where an end cannot be swept: the instrument has no such string. */
  readonly outOfRange: boolean;
}

const POSITIONS = [-1, 0, 1] as const;
const EVERYTHING = 0xfff;

/** One way to lay the sweep over the strings: what stands where, and which letters are free. */
interface Lie {
  readonly low: StringIndex;
  readonly high: StringIndex;
  readonly fixed: readonly (readonly [Letter, Position])[];
  readonly from: StringIndex | null;
  readonly to: StringIndex | null;
}

/** Ends may be either of two strings (C♭4 is B3 by another string); both fingers' ends must lie on the instrument. */
function liesOf({ ends, shape }: GlissAsk, { lowest, highest }: Instrument): Lie[] {
  const reach = Math.max(0, ...(shape?.steps ?? []));
  if (ends === undefined || ends === null)
    return [{ low: lowest, high: Math.min(highest, lowest + 7 + reach), fixed: [], from: null, to: null }];
  const ways = (p: Pitch): Pitch[] => {
    const all = harpSpellings(midiOf(p));
    return [...all].sort((a, b) => Number(b.letter === p.letter) - Number(a.letter === p.letter));
  };
  return ways(ends.from).flatMap((from) =>
    ways(ends.to).flatMap((to): Lie[] => {
      const [a, b] = [stringOf(from), stringOf(to)];
      const [low, high] = [Math.min(a, b), Math.max(a, b) + reach];
      if (low < lowest || high > highest) return [];
      if (from.letter === to.letter && from.alter !== to.alter) return [];
      const fixed = [from, to].map((p) => [p.letter, p.alter as Position] as const);
      return [{ low, high, fixed, from: a, to: b }];
    }),
  );
}

const keyOf = (setting: Setting, s: StringIndex): number =>
  midiOf(stringPitch(s, positionOf(setting, stringLetter(s))));

/** Pairs of neighbouring swept strings, an octave of them at most: those that fall, and those at one pitch. */
function steps(setting: Setting, low: StringIndex, high: StringIndex): { falls: boolean; level: number } {
  let [falls, level] = [false, 0];
  for (let s = low; s < Math.min(high, low + 7); s++) {
    const rise = keyOf(setting, s + 1) - keyOf(setting, s);
    if (rise < 0) falls = true;
    if (rise === 0) level++;
  }
  return { falls, level };
}

/** Every choice for the letters swept, the rest standing, with what sounds; none that sounds outside `may`. */
function* choices({ low, high, fixed }: Lie, standing: Setting, may: number): Generator<[Setting, number]> {
  const letters: Letter[] = [];
  for (let s = low; s <= high && letters.length < 7; s++) letters.push(stringLetter(s));
  const choose = function* (i: number, setting: Setting, sounding: number): Generator<[Setting, number]> {
    const letter = letters[i];
    if (letter === undefined) {
      yield [setting, sounding];
      return;
    }
    const bound = fixed.find(([l]) => l === letter);
    for (const position of bound === undefined ? POSITIONS : [bound[1]]) {
      const pc = pitchClass(letter, position);
      if (may & (1 << pc))
        yield* choose(i + 1, withPosition(setting, letter, position), sounding | (1 << pc));
    }
  };
  yield* choose(0, standing, 0);
}

/**
 * Every setting for a glissando, by enumeration (at most 2,187 for each way to lay its ends). Only the letters that
 * the fingers touch must stand right; the rest stay as they stand.
 */
export function glissAnswer(ask: GlissAsk): GlissAnswer {
  const instrument = ask.instrument ?? CONCERT_HARP;
  const standing = ask.standing ?? NATURAL_SETTING;
  const wanted = pitchSet(ask.content);
  const may = wanted | pitchSet(ask.allowed ?? []);
  const shape = ask.shape ?? null;
  const lies = liesOf(ask, instrument);
  const all = (within: number): GlissFound[] =>
    lies.flatMap((lie) =>
      [...choices(lie, standing, within)].flatMap(([setting, sounding]): GlissFound[] => {
        const { falls, level } = steps(setting, lie.low, lie.high);
        if (falls && ask.crossing === false) return [];
        return [
          {
            ...describeSetting(setting, sounding, wanted, standing),
            crosses: falls,
            foreign: pitchClassesOf(sounding & ~may),
            also: pitchClassesOf(sounding & may & ~wanted),
            from: lie.from,
            to: lie.to,
            doubled: level,
            parallel: null,
          },
        ];
      }),
    );
  const withFingers = (s: GlissFound): GlissFound => {
    if (shape === null) return s;
    const [a, b] = [s.from ?? instrument.lowest, s.to ?? instrument.lowest + 6];
    return { ...s, parallel: parallelSound(s.setting, shape, Math.min(a, b), Math.max(a, b)) };
  };
  const right = all(may).filter((s) => s.missing.length === 0);
  right.sort(
    (a, b) => Number(b.exact) - Number(a.exact) || compareSettings(a, b) || a.also.length - b.also.length,
  );
  const outOfRange = lies.length === 0;
  if (right.length > 0 || wanted === 0) return { settings: right.map(withFingers), nearest: [], outOfRange };
  const [f, m] = ask.prefer === 'coverage' ? [1, 16] : [16, 1];
  const fault = (s: GlissFound): number => f * s.foreign.length + m * s.missing.length;
  const found = all(EVERYTHING);
  found.sort((a, b) => fault(a) - fault(b) || compareSettings(a, b) || a.also.length - b.also.length);
  return { settings: [], nearest: found.slice(0, ask.most ?? 8).map(withFingers), outOfRange };
}

/** How much of a content a setting sounds, as a share from 0 to 1. */
export const coverage = (found: GlissSetting, content: readonly number[]): number => {
  const all = bitCount(pitchSet(content));
  return all === 0 ? 1 : (all - found.missing.length) / all;
};
