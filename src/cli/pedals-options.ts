/** The options by which the user steers a pedal plan; every mistake is one clear sentence. */

import { PEDALS, type Position, type Setting, keySetting, positionOf } from '../harp/setting';
import { type Letter, spellingName } from '../music/pitch';
import { DEFAULT_FOOT_TIMES } from '../pedals/foot-times';
import type { FootTimes, PlanOptions } from '../pedals/types';
import { type NoteFix, parseNoteFixes } from '../proposals/note-fix';
import { type NoteSlide, parseNoteSlides } from '../proposals/note-slide';
import { type Parsed, UsageError, optionText } from './args';

/** Rows for the option table of every call that plans pedals. */
export const PLAN_OPTIONS = {
  start: { type: 'string' },
  end: { type: 'string' },
  lock: { type: 'string' },
  fix: { type: 'string' },
  slide: { type: 'string' },
  'foot-times': { type: 'string' },
  'harp-key': { type: 'string' },
  'keep-spelling': { type: 'boolean' },
  emergencies: { type: 'boolean' },
  'must-settle': { type: 'boolean' },
} as const;

/** The same in the lines of the help. */
export const PLAN_USAGE =
  '[--start SETTING] [--end SETTING] [--lock "B,Eb"] [--fix "3:2 Eb; 4:1 F#4"] [--slide "3:2 Eb4 to E at 3:3"] [--foot-times "0.35,0.5"] [--harp-key Cb] [--keep-spelling] [--emergencies] [--must-settle]';

const SIGNS: Readonly<Record<string, Position>> = { b: -1, '♭': -1, n: 0, '♮': 0, '#': 1, '♯': 1 };

/**
 * `--lock "B,Eb"`: pedals to leave alone. A bare letter stays where the setting before has it, or the key signature
 * where no setting is given; b, n and # say where it stands.
 */
export function lockOption(
  parsed: Parsed,
  start: Setting | null,
  end: Setting | null,
  fifths: number,
): NonNullable<PlanOptions['locked']> | null {
  const given = optionText(parsed, 'lock');
  if (given === null) return null;
  const home = start ?? keySetting(fifths);
  const locked: Partial<Record<Letter, Position>> = {};
  for (const word of given.split(/[\s,|/]+/).filter((w) => w !== '')) {
    const letter = PEDALS.find((l) => l === (word[0] as string).toUpperCase());
    const sign = word.slice(1);
    if (letter === undefined || (sign !== '' && SIGNS[sign] === undefined))
      throw new UsageError(`--lock takes pedals such as “B,Eb,F#”, not “${word}”.`);
    if (locked[letter] !== undefined) throw new UsageError(`--lock names the ${letter} pedal twice.`);
    locked[letter] = sign === '' ? positionOf(home, letter) : (SIGNS[sign] as Position);
  }
  if (Object.keys(locked).length === 0) throw new UsageError('--lock takes pedals such as “B,Eb,F#”.');
  for (const [name, setting] of [['start', start] as const, ['end', end] as const]) {
    for (const letter of PEDALS) {
      const position = locked[letter];
      if (setting === null || position === undefined || positionOf(setting, letter) === position) continue;
      throw new UsageError(
        `--lock leaves ${spellingName(letter, position)} alone, but --${name} has ${spellingName(letter, positionOf(setting, letter))}.`,
      );
    }
  }
  return locked;
}

const LEAST = 0.05;
const MOST = 10;

/** `--foot-times "0.35,0.5"`: comfortable seconds of one foot, from a pedal to its neighbour and to one farther off. */
export function footTimesOption(parsed: Parsed): FootTimes {
  const given = optionText(parsed, 'foot-times');
  if (given === null) return DEFAULT_FOOT_TIMES;
  const words = given.split(',').map((w) => w.trim());
  const times = words.map(Number);
  const wrong =
    words.length !== 2 ||
    words.some((w) => !/^\d+(\.\d+)?$/.test(w)) ||
    times.some((t) => t < LEAST || t > MOST);
  if (wrong)
    throw new UsageError(
      `--foot-times takes two times in seconds from ${LEAST} to ${MOST}, neighbour and reach, such as “0.35,0.5”, not “${given}”.`,
    );
  const [neighbour, reach] = times.map((t) => Math.round(t * 1_000_000)) as [number, number];
  return { ...DEFAULT_FOOT_TIMES, neighbour, reach };
}

/** `--fix "3:2 Eb; 4:1 F#4"`: notes whose spelling is fixed, by bar, beat and name; null where none is. */
export function fixOption(parsed: Parsed): readonly NoteFix[] | null {
  const given = optionText(parsed, 'fix');
  if (given === null) return null;
  const read = parseNoteFixes(given);
  if (read.ok) return read.value;
  throw new UsageError(`--fix: ${read.problems[0]}`);
}

/** `--slide "3:2 Eb4 to E at 3:3"`: pedal slides on strings that ring; null where none is. */
export function slideOption(parsed: Parsed): readonly NoteSlide[] | null {
  const given = optionText(parsed, 'slide');
  if (given === null) return null;
  const read = parseNoteSlides(given);
  if (read.ok) return read.value;
  throw new UsageError(`--slide: ${read.problems[0]}`);
}

const TONICS: Readonly<Record<string, number>> = { F: -1, C: 0, G: 1, D: 2, A: 3, E: 4, B: 5 };

/** `--harp-key Cb`: the key signature that the harp part has for itself, as fifths; null where none is given. */
export function harpKeyOption(parsed: Parsed): number | null {
  const given = optionText(parsed, 'harp-key');
  if (given === null) return null;
  const match = /^\s*([A-Ga-g])([b♭#♯]?)\s*(m|minor|major)?\s*$/.exec(given);
  const [, letter = '', sign = '', mode = ''] = match ?? [];
  const minor = mode.startsWith('mi') || mode === 'm' || (mode === '' && letter === letter.toLowerCase());
  const fifths =
    (TONICS[letter.toUpperCase()] ?? Number.NaN) + 7 * (SIGNS[sign || 'n'] as number) - (minor ? 3 : 0);
  if (!(fifths >= -7 && fifths <= 7))
    throw new UsageError(
      `--harp-key takes a key of at most seven signs, such as Cb or “F# minor”, not “${given}”.`,
    );
  return fifths;
}
