/** What the 2,187 settings sound: pitch-class sets as bit masks, for glissandi and for chords under one setting. */

import { LETTERS, type Letter, midiOf, pitchClass } from '../music/pitch';
import { NATURAL_SETTING, SETTING_COUNT, type Setting, positionOf, settingDistance } from './setting';
import { type StringIndex, stringLetter, stringPitch } from './strings';

/** Twelve bits, bit n for pitch class n. */
export type PitchClassMask = number;

export const pitchClassMask = (pcs: Iterable<number>): PitchClassMask => {
  let mask = 0;
  for (const pc of pcs) mask |= 1 << pc;
  return mask;
};

export const bitCount = (mask: number): number => {
  let n = 0;
  for (let rest = mask; rest !== 0; rest &= rest - 1) n++;
  return n;
};

/** Bits of pitch classes sounded by each setting, by setting. */
const SOUNDING: Uint16Array = Uint16Array.from({ length: SETTING_COUNT }, (_, s) =>
  pitchClassMask(LETTERS.map((letter) => pitchClass(letter, positionOf(s, letter)))),
);

/** The pitch classes that all seven strings of an octave sound under a setting. */
export const settingMask = (setting: Setting): PitchClassMask => SOUNDING[setting] as number;

/** The distinct pitch-class sets of all settings: 977 (enumeration). */
export const SETTABLE: ReadonlySet<PitchClassMask> = new Set(SOUNDING);

const together = new Map<PitchClassMask, boolean>();
/** True where some setting holds all these pitch classes at once: never for G, G♯ and A. */
export function settableTogether(mask: PitchClassMask): boolean {
  let known = together.get(mask);
  if (known === undefined) {
    known = [...SETTABLE].some((sounding) => (sounding & mask) === mask);
    together.set(mask, known);
  }
  return known;
}

/** Letters touched by a sweep between two strings, ends included. */
export function sweptLetters(from: StringIndex, to: StringIndex): ReadonlySet<Letter> {
  const [low, high] = from < to ? [from, to] : [to, from];
  const letters = new Set<Letter>();
  for (let s = low; s <= high && letters.size < 7; s++) letters.add(stringLetter(s));
  return letters;
}

/** True where the pitch falls from one string to its upper neighbour: the sweep steps back. */
export function settingCrosses(setting: Setting): boolean {
  for (let s = 7; s < 14; s++) {
    const low = stringPitch(s, positionOf(setting, stringLetter(s)));
    const high = stringPitch(s + 1, positionOf(setting, stringLetter(s + 1)));
    if (midiOf(high) < midiOf(low)) return true;
  }
  return false;
}

const sets = new Map<number, readonly Setting[]>();
/**
 * Settings that sound nothing outside `allowed` and everything in `required`, over whole octaves: those that
 * do not cross first, then those nearest to all pedals in the middle. Empty where there is none.
 */
export function sweepSettings(allowed: PitchClassMask, required: PitchClassMask): readonly Setting[] {
  const key = allowed * 4096 + required;
  let found = sets.get(key);
  if (found === undefined) {
    const list: Setting[] = [];
    for (let s = 0; s < SETTING_COUNT; s++) {
      const sounding = SOUNDING[s] as number;
      if ((sounding & ~allowed) === 0 && (sounding & required) === required) list.push(s);
    }
    const rank = (s: Setting): number => (settingCrosses(s) ? 8 : 0) + settingDistance(s, NATURAL_SETTING);
    found = list
      .map((s) => ({ s, r: rank(s) }))
      .sort((a, b) => a.r - b.r || a.s - b.s)
      .map((x) => x.s);
    if (sets.size > 2000) sets.clear();
    sets.set(key, found);
  }
  return found;
}
