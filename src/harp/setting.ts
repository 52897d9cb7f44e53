/** Pedal settings: seven positions, in the trade's order D C B | E F G A. */

import { type Letter, spellingName } from '../music/pitch';

/** Position of a pedal: up ♭ = -1, middle ♮ = 0, down ♯ = 1. */
export type Position = -1 | 0 | 1;
export type Foot = 'left' | 'right';

/** The pedals from the player's left to right; the left foot has the first three (Wikipedia, "Pedal harp"). */
export const PEDALS = ['D', 'C', 'B', 'E', 'F', 'G', 'A'] as const satisfies readonly Letter[];

/** A setting packed into one integer 0 … 2186: the base-3 digits of (position + 1), D the lowest digit. */
export type Setting = number;
export const SETTING_COUNT = 2187;

const PEDAL_INDEX: Readonly<Record<Letter, number>> = { D: 0, C: 1, B: 2, E: 3, F: 4, G: 5, A: 6 };
const POWERS = [1, 3, 9, 27, 81, 243, 729] as const;

/** 0 … 6 in the order D C B E F G A. */
export const pedalIndex = (letter: Letter): number => PEDAL_INDEX[letter];
export const footOf = (letter: Letter): Foot => (PEDAL_INDEX[letter] < 3 ? 'left' : 'right');

export const positionOf = (setting: Setting, letter: Letter): Position =>
  ((Math.floor(setting / (POWERS[PEDAL_INDEX[letter]] as number)) % 3) - 1) as Position;

export const withPosition = (setting: Setting, letter: Letter, position: Position): Setting =>
  setting + (position - positionOf(setting, letter)) * (POWERS[PEDAL_INDEX[letter]] as number);

export const packSetting = (positions: Readonly<Record<Letter, Position>>): Setting =>
  PEDALS.reduce((sum, letter, i) => sum + (positions[letter] + 1) * (POWERS[i] as number), 0);

export const unpackSetting = (setting: Setting): Record<Letter, Position> => {
  const out = {} as Record<Letter, Position>;
  for (const letter of PEDALS) out[letter] = positionOf(setting, letter);
  return out;
};

/** All pedals in the middle: C major. */
export const NATURAL_SETTING: Setting = 1093;

/** 'D♭ C B♭ | E♭ F G A♭'. */
export const settingName = (setting: Setting): string => {
  const names = PEDALS.map((letter) => spellingName(letter, positionOf(setting, letter)));
  return `${names.slice(0, 3).join(' ')} | ${names.slice(3).join(' ')}`;
};

/** Pedals that differ between two settings: the moves from one to the other. */
export const settingDistance = (a: Setting, b: Setting): number =>
  PEDALS.reduce((n, letter) => n + (positionOf(a, letter) === positionOf(b, letter) ? 0 : 1), 0);

const SHARPS_IN_ORDER = ['F', 'C', 'G', 'D', 'A', 'E', 'B'] as const;

/** The setting of a key signature: fifths from -7 (all flat, the open tuning) to 7; beyond that as the last. */
export const keySetting = (fifths: number): Setting => {
  const count = Math.min(7, Math.abs(Math.trunc(fifths)));
  const altered = fifths > 0 ? SHARPS_IN_ORDER.slice(0, count) : SHARPS_IN_ORDER.slice(7 - count);
  return altered.reduce(
    (setting, letter) => withPosition(setting, letter, fifths > 0 ? 1 : -1),
    NATURAL_SETTING,
  );
};
