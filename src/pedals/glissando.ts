/** Glissando settings by enumeration: which of the 2,187 settings sound a chord or scale, and nothing else. */

import {
  NATURAL_SETTING,
  SETTING_COUNT,
  type Setting,
  pedalIndex,
  positionOf,
  settingDistance,
} from '../harp/setting';
import { stringLetter, stringPitch } from '../harp/strings';
import { pitchClassMask, settingCrosses, settingMask, sweptLetters } from '../harp/sweep-settings';
import { letterSemitones, midiOf } from '../music/pitch';
import { DIGITS } from './tables';

export interface GlissSetting {
  readonly setting: Setting;
  /** Sounds the whole set and nothing else. */
  readonly exact: boolean;
  /** Somewhere the pitch falls from one string to the next above it: E♯ beside F♭, B♯ beside C♭. */
  readonly crosses: boolean;
  /** Pedals to move from the setting given. */
  readonly moves: number;
  /** Positions travelled by those pedals: flat to sharp is two. */
  readonly positions: number;
  /** Pitch classes of the set that no string sounds, ascending. Empty when exact. */
  readonly missing: readonly number[];
  /** Pitch classes that sound and are not in the set, ascending. Empty when exact. */
  readonly foreign: readonly number[];
}

/** Pitch classes as bits; any integers, taken modulo 12. */
export const pitchSet = (pcs: readonly number[]): number =>
  pitchClassMask(pcs.map((pc) => ((pc % 12) + 12) % 12));

export const pitchClassesOf = (bits: number): number[] =>
  Array.from({ length: 12 }, (_, pc) => pc).filter((pc) => bits & (1 << pc));

/** Positions travelled from one setting to another. */
export function travel(from: Setting, to: Setting): number {
  let sum = 0;
  for (let k = 0; k < 7; k++) {
    sum += Math.abs((DIGITS[7 * from + k] as number) - (DIGITS[7 * to + k] as number));
  }
  return sum;
}

/** A setting against what is wanted, told from the setting that stands. */
export function describeSetting(
  setting: Setting,
  sounding: number,
  wanted: number,
  from: Setting,
): GlissSetting {
  return {
    setting,
    exact: sounding === wanted,
    crosses: settingCrosses(setting),
    moves: settingDistance(from, setting),
    positions: travel(from, setting),
    missing: pitchClassesOf(wanted & ~sounding),
    foreign: pitchClassesOf(sounding & ~wanted),
  };
}

/** Best first: without crossing strings, then fewest moves, fewest positions, packed order. */
export const compareSettings = (a: GlissSetting, b: GlissSetting): number =>
  Number(a.crosses) - Number(b.crosses) ||
  a.moves - b.moves ||
  a.positions - b.positions ||
  a.setting - b.setting;

/**
 * Every setting that sounds exactly the given pitch classes, best first: without crossing strings, then fewest
 * moves from `from`, then fewest positions, then packed order. Empty where no setting does.
 */
export function glissSettings(pcs: readonly number[], from: Setting = NATURAL_SETTING): GlissSetting[] {
  const wanted = pitchSet(pcs);
  const out: GlissSetting[] = [];
  for (let s = 0; s < SETTING_COUNT; s++) {
    if (settingMask(s) === wanted) out.push(describeSetting(s, wanted, wanted, from));
  }
  return out.sort(compareSettings);
}

/**
 * Every setting that sounds nothing outside `allowed` and all of `required`, best first. `exact`, `missing` and
 * `foreign` are told against `allowed`: a chord with its tolerated tensions.
 */
export function settingsWithin(
  allowed: readonly number[],
  required: readonly number[],
  from: Setting = NATURAL_SETTING,
): GlissSetting[] {
  const [may, must] = [pitchSet(allowed), pitchSet(required)];
  const out: GlissSetting[] = [];
  for (let s = 0; s < SETTING_COUNT; s++) {
    const sounding = settingMask(s);
    if ((sounding & ~may) === 0 && (must & ~sounding) === 0)
      out.push(describeSetting(s, sounding, may, from));
  }
  return out.sort((a, b) => a.missing.length - b.missing.length || compareSettings(a, b));
}

/** The settings nearest to a set that may have no exact one: fewest foreign, then fewest missing, then best. */
export function nearestSettings(
  pcs: readonly number[],
  limit: number,
  from: Setting = NATURAL_SETTING,
): GlissSetting[] {
  const wanted = pitchSet(pcs);
  return Array.from({ length: SETTING_COUNT }, (_, s) => describeSetting(s, settingMask(s), wanted, from))
    .sort(
      (a, b) =>
        a.foreign.length - b.foreign.length || a.missing.length - b.missing.length || compareSettings(a, b),
    )
    .slice(0, limit);
}

/** True where the pitch falls from a string to its upper neighbour, both of them swept. */
function crossesBetween(setting: Setting, from: number, to: number): boolean {
  const low = Math.min(from, to);
  const high = Math.min(Math.max(from, to), low + 8);
  const key = (s: number): number => midiOf(stringPitch(s, positionOf(setting, stringLetter(s))));
  for (let s = low; s < high; s++) if (key(s + 1) < key(s)) return true;
  return false;
}

/**
 * Settings for one sweep between two string indices: only the letters swept must sound within `allowed` and
 * together sound all of `required`; the other pedals stay as in `standing`. Best first.
 */
export function spanSettings(
  from: number,
  to: number,
  allowed: readonly number[],
  required: readonly number[],
  standing: Setting = NATURAL_SETTING,
): GlissSetting[] {
  const [may, must] = [pitchSet(allowed), pitchSet(required)];
  const letters = [...sweptLetters(from, to)];
  const out: GlissSetting[] = [];
  const choose = (i: number, setting: Setting, sounding: number): void => {
    const letter = letters[i];
    if (letter === undefined) {
      if ((must & ~sounding) !== 0) return;
      const crosses = crossesBetween(setting, from, to);
      out.push({ ...describeSetting(setting, sounding, may, standing), crosses });
      return;
    }
    const weight = 3 ** pedalIndex(letter);
    const now = positionOf(setting, letter);
    for (const position of [-1, 0, 1]) {
      const pc = (letterSemitones(letter) + position + 12) % 12;
      if (may & (1 << pc)) choose(i + 1, setting + (position - now) * weight, sounding | (1 << pc));
    }
  };
  choose(0, standing, 0);
  return out.sort((a, b) => a.missing.length - b.missing.length || compareSettings(a, b));
}

/** Every set of pitch classes that some setting sounds exactly, as bits, with the number of such settings. */
export function census(): Map<number, number> {
  const out = new Map<number, number>();
  for (let s = 0; s < SETTING_COUNT; s++) out.set(settingMask(s), (out.get(settingMask(s)) ?? 0) + 1);
  return out;
}
