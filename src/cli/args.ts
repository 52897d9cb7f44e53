/** Reads command-line options; every mistake is one clear sentence. */

import { parseArgs } from 'node:util';
import { seconds } from '../base/units';
import { type Setting } from '../harp/setting';
import { parseSetting } from '../harp/setting-text';
import type { Metre } from '../music/metre';
import type { Aim } from '../pedals/types';

/** Bad input: its message is the one sentence shown, and the exit code is 2. */
export class UsageError extends Error {}

export type OptionTable = Readonly<
  Record<string, { readonly type: 'string' | 'boolean'; readonly short?: string }>
>;

export interface Parsed {
  readonly values: Readonly<Record<string, string | boolean | undefined>>;
  readonly positionals: readonly string[];
}

/** Splits arguments by a table of options; unknown ones are named with the known ones beside. */
export function parse(args: readonly string[], options: OptionTable): Parsed {
  try {
    const { values, positionals } = parseArgs({
      args: [...args],
      options,
      allowPositionals: true,
      strict: true,
    });
    return { values: values as Parsed['values'], positionals };
  } catch (error) {
    const known = Object.keys(options)
      .map((name) => `--${name}`)
      .join(' ');
    const first = (error as Error).message.split(/[.\n]/)[0] ?? 'The options could not be read';
    throw new UsageError(`${first}; this call takes ${known}.`);
  }
}

/** The single positional argument, or a sentence that says what belongs there. */
export function onePositional(parsed: Parsed, what: string): string {
  const [first, ...rest] = parsed.positionals;
  if (first === undefined) throw new UsageError(`Give ${what}.`);
  if (rest.length > 0)
    throw new UsageError(`Give only ${what}; “${rest.join(' ')}” is too much (are quotes missing?).`);
  return first;
}

const text = (parsed: Parsed, name: string): string | null => {
  const value = parsed.values[name];
  return typeof value === 'string' ? value : null;
};
export { text as optionText };

/** A whole number within limits, or the default. */
export function wholeOption(
  parsed: Parsed,
  name: string,
  fallback: number,
  least: number,
  most: number,
): number {
  const given = text(parsed, name);
  if (given === null) return fallback;
  const n = Number(given);
  if (!/^\d+$/.test(given.trim()) || n < least || n > most) {
    throw new UsageError(`--${name} takes a whole number from ${least} to ${most}, not “${given}”.`);
  }
  return n;
}

/** A tempo in quarters a minute (thousandths kept), from 10 to 400; null where none is given. */
export function tempoOption(parsed: Parsed): number | null {
  const given = text(parsed, 'tempo');
  if (given === null) return null;
  const bpm = Number(given);
  if (!/^\d+(\.\d{1,3})?$/.test(given.trim()) || bpm < 10 || bpm > 400) {
    throw new UsageError(`--tempo takes quarters a minute from 10 to 400, such as 96, not “${given}”.`);
  }
  return Math.round(bpm * 1000);
}

/** A metre such as 4/4. */
export function metreOption(parsed: Parsed): Metre {
  const given = text(parsed, 'metre') ?? '4/4';
  const match = /^\s*(\d{1,2})\s*\/\s*(1|2|4|8|16|32)\s*$/.exec(given);
  const beats = Number(match?.[1]);
  if (match === null || beats < 1 || beats > 24) {
    throw new UsageError(`--metre takes a metre such as 4/4, 3/4 or 6/8, not “${given}”.`);
  }
  return { beats, unit: Number(match[2]) };
}

/** A pedal setting by option name; null where none is given or it says 'free'. */
export function settingOption(parsed: Parsed, name: string): Setting | null {
  const given = text(parsed, name);
  if (given === null || given.trim().toLowerCase() === 'free') return null;
  const read = parseSetting(given);
  if (read.ok) return read.value;
  const problem = read.problems[0];
  throw new UsageError(
    `--${name}: ${problem?.value}; a setting is ${problem?.limit}, such as “Db C Bb Eb F G Ab”.`,
  );
}

export function aimOption(parsed: Parsed): Aim {
  const given = text(parsed, 'aim') ?? 'practical';
  if (given === 'practical' || given === 'fewest') return given;
  throw new UsageError(`--aim is practical or fewest, not “${given}”.`);
}

/** Seconds for people: two decimals. */
export const shownSeconds = (s: number): number => Math.round(seconds(s) * 1000) / 1000;
