/** The options by which the user steers the proposals; every mistake is one clear sentence. */

import { DIFFICULTY_WORDS } from '../figures/difficulty';
import { stringNamed } from '../figures/register';
import { keySetting, type Setting } from '../harp/setting';
import type { Dynamic } from '../music/passage';
import { STEERING_LIMITS } from '../proposals/steer';
import { recipeOfId } from '../proposals/steer-ids';
import type { Keep, ProposeRequest, Recipe, Steering } from '../proposals/types';
import { type Parsed, UsageError, optionText, settingOption, wholeOption } from './args';
import {
  PLAN_OPTIONS,
  fixOption,
  footTimesOption,
  harpKeyOption,
  lockOption,
  slideOption,
} from './pedals-options';

/** Rows for the option table of the call. */
export const STEER_OPTIONS = {
  without: { type: 'string' },
  density: { type: 'string' },
  register: { type: 'string' },
  dynamic: { type: 'string' },
  hardest: { type: 'string' },
  'most-moves': { type: 'string' },
  choices: { type: 'string' },
  keep: { type: 'string' },
  like: { type: 'string' },
  unlike: { type: 'string' },
  again: { type: 'string' },
  ...PLAN_OPTIONS,
} as const;

const DYNAMICS: readonly Dynamic[] = ['ppp', 'pp', 'p', 'mp', 'mf', 'f', 'ff', 'fff'];

function oneOf<T extends string>(parsed: Parsed, name: string, words: readonly T[]): T | undefined {
  const given = optionText(parsed, name);
  if (given === null) return undefined;
  const word = words.find((w) => w === given.trim());
  if (word !== undefined) return word;
  throw new UsageError(`--${name} is one of ${words.join(', ')}, not “${given}”.`);
}

function densityOption(parsed: Parsed): Steering['density'] {
  const given = optionText(parsed, 'density');
  if (given === null) return undefined;
  const match = /^\s*(\d+(?:\.\d)?)\s*[-–]\s*(\d+(?:\.\d)?)\s*$/.exec(given);
  const [least, most] = [Number(match?.[1]), Number(match?.[2])];
  if (match === null || least > most || most > STEERING_LIMITS.density)
    throw new UsageError(
      `--density takes the least and the most notes to a beat, from 0 to ${STEERING_LIMITS.density}, such as 1-4, not “${given}”.`,
    );
  return [least, most];
}

function registerOption(parsed: Parsed): Steering['register'] {
  const given = optionText(parsed, 'register');
  if (given === null) return undefined;
  const match = /^\s*([A-G][1-7])\s*[-–]\s*([A-G][1-7])\s*$/i.exec(given);
  const [low, high] = [match?.[1], match?.[2]].map((name) => stringNamed((name ?? 'C1').toUpperCase())) as [
    number,
    number,
  ];
  if (match === null || high - low < STEERING_LIMITS.window)
    throw new UsageError(
      `--register takes the lowest and the highest string, at least an octave apart, such as C3-C6, not “${given}”.`,
    );
  return [low, high];
}

const listed = (text: string): string[] =>
  text
    .split(',')
    .map((word) => word.trim())
    .filter((word) => word !== '');

function recipeNamed(request: ProposeRequest, option: string, id: string): Recipe {
  const recipe = recipeOfId(request, id);
  if (recipe !== null) return recipe;
  throw new UsageError(
    `--${option} takes the id of a proposal of this progression, such as wave-1; “${id}” names none.`,
  );
}

function recipesOption(parsed: Parsed, request: ProposeRequest, option: string): Recipe[] | undefined {
  const given = optionText(parsed, option);
  if (given === null) return undefined;
  const ids = listed(given);
  if (ids.length === 0 || ids.length > STEERING_LIMITS.recipes)
    throw new UsageError(
      `--${option} takes 1 to ${STEERING_LIMITS.recipes} ids of proposals, such as wave-1.`,
    );
  return ids.map((id) => recipeNamed(request, option, id));
}

function keepOption(parsed: Parsed, request: ProposeRequest): Keep[] | undefined {
  const given = optionText(parsed, 'keep');
  if (given === null) return undefined;
  const wrong = (word: string): UsageError =>
    new UsageError(`--keep takes the id of a proposal and its bars, such as wave-1:1-4, not “${word}”.`);
  const words = listed(given);
  if (words.length === 0) throw wrong(given);
  return words.map((word) => {
    const match = /^(.+):(\d{1,3})(?:[-–](\d{1,3}))?$/.exec(word);
    const [from, to] = [Number(match?.[2]), Number(match?.[3] ?? match?.[2])];
    if (match === null || from < 1 || from > to) throw wrong(word);
    return { from, to, recipe: recipeNamed(request, 'keep', match[1] as string) };
  });
}

function pedalSteering(parsed: Parsed, start: Setting | null): Steering['pedals'] {
  const end = settingOption(parsed, 'end');
  const fifths = harpKeyOption(parsed);
  const locked = lockOption(parsed, start ?? (fifths === null ? null : keySetting(fifths)), end, fifths ?? 0);
  const times = optionText(parsed, 'foot-times') === null ? null : footTimesOption(parsed);
  const pedals = {
    ...(end === null ? {} : { end }),
    ...(fifths === null ? {} : { fifths }),
    ...(locked === null ? {} : { locked }),
    ...(times === null ? {} : { times }),
    ...(parsed.values['emergencies'] === true ? { emergencies: true } : {}),
    ...(parsed.values['must-settle'] === true ? { mustSettle: true } : {}),
    ...(parsed.values['keep-spelling'] === true ? { keepSpelling: true } : {}),
  };
  return Object.keys(pedals).length === 0 ? undefined : pedals;
}

/** The steering that the options ask for; `request` is the rest of the request, in which ids are looked up. */
export function steeringOption(parsed: Parsed, request: ProposeRequest): Steering {
  const defined = <T extends object>(row: T): Steering =>
    Object.fromEntries(Object.entries(row).filter(([, value]) => value !== undefined));
  const mostMoves =
    optionText(parsed, 'most-moves') === null
      ? undefined
      : wholeOption(parsed, 'most-moves', 0, 0, STEERING_LIMITS.mostMoves);
  const choices =
    optionText(parsed, 'choices') === null
      ? undefined
      : wholeOption(parsed, 'choices', 1, 1, STEERING_LIMITS.choices);
  const plain = defined({
    density: densityOption(parsed),
    register: registerOption(parsed),
    dynamic: oneOf(parsed, 'dynamic', DYNAMICS),
    hardest: oneOf(parsed, 'hardest', DIFFICULTY_WORDS),
    mostMoves,
    pedals: pedalSteering(parsed, request.start),
    fixes: fixOption(parsed) ?? undefined,
    slides: slideOption(parsed) ?? undefined,
    choices,
  });
  const asked = { ...request, steering: plain };
  return {
    ...plain,
    ...defined({
      keep: keepOption(parsed, asked),
      like: recipesOption(parsed, asked, 'like'),
      unlike: recipesOption(parsed, asked, 'unlike'),
      again: recipesOption(parsed, asked, 'again'),
    }),
  };
}
