/** How the user steers: the schema of what is saved, and the filters that hold a draft and a plan against it. */

import * as v from 'valibot';
import type { Problem } from '../base/problem';
import { DIFFICULTY_WORDS, type Difficulty } from '../figures/difficulty';
import { unsuited } from '../figures/interpreter';
import type { Instrument } from '../harp/instrument';
import type { PlannedPassage } from '../harp/planned';
import { SETTING_COUNT } from '../harp/setting';
import { stringName, stringOf } from '../harp/strings';
import { beatTicks } from '../music/metre';
import { type Passage, passageEnd } from '../music/passage';
import { noteFixSchema } from './note-fix';
import { noteSlideSchema } from './note-slide';
import type { Steering, SteeringLimit } from './types';

/** Bounds of what can be asked. */
export const STEERING_LIMITS = {
  /** Notes to a beat. */
  density: 24,
  /** Strings from the lowest to the highest at least: an octave. */
  window: 7,
  mostMoves: 999,
  choices: 12,
  bars: 999,
  recipes: 12,
  fixes: 500,
} as const;

const whole = (least: number, most: number) =>
  v.pipe(v.number(), v.integer(), v.minValue(least), v.maxValue(most));
const position = v.picklist([-1, 0, 1]);
const time = whole(0, 10_000_000);
const texture = v.object({
  family: v.pipe(v.string(), v.regex(/^[a-z0-9-]{1,60}$/)),
  seed: v.pipe(v.string(), v.regex(/^[A-Za-z0-9._-]{1,60}$/)),
});
const recipe = v.pipe(v.array(texture), v.minLength(1), v.maxLength(STEERING_LIMITS.bars));
const recipes = v.pipe(v.array(recipe), v.maxLength(STEERING_LIMITS.recipes));
const string = whole(0, 46);
const perBeat = v.pipe(v.number(), v.minValue(0), v.maxValue(STEERING_LIMITS.density));

/** Reads a saved `Steering`; what does not fit is an issue with its path. Unknown keys are left out. */
export const steeringSchema = v.object({
  density: v.exactOptional(
    v.pipe(
      v.tuple([perBeat, perBeat]),
      v.check(([least, most]) => least <= most, 'the least is not above the most'),
    ),
  ),
  register: v.exactOptional(
    v.pipe(
      v.tuple([string, string]),
      v.check(([low, high]) => high - low >= STEERING_LIMITS.window, 'at least an octave'),
    ),
  ),
  dynamic: v.exactOptional(v.picklist(['ppp', 'pp', 'p', 'mp', 'mf', 'f', 'ff', 'fff'])),
  hardest: v.exactOptional(v.picklist(DIFFICULTY_WORDS)),
  mostMoves: v.exactOptional(whole(0, STEERING_LIMITS.mostMoves)),
  pedals: v.exactOptional(
    v.object({
      end: v.exactOptional(v.nullable(whole(0, SETTING_COUNT - 1))),
      keepSpelling: v.exactOptional(v.boolean()),
      locked: v.exactOptional(
        v.object({
          D: v.exactOptional(position),
          C: v.exactOptional(position),
          B: v.exactOptional(position),
          E: v.exactOptional(position),
          F: v.exactOptional(position),
          G: v.exactOptional(position),
          A: v.exactOptional(position),
        }),
      ),
      fifths: v.exactOptional(whole(-7, 7)),
      times: v.exactOptional(v.object({ neighbour: time, reach: time, secondPosition: time, settle: time })),
      emergencies: v.exactOptional(v.boolean()),
      mustSettle: v.exactOptional(v.boolean()),
    }),
  ),
  fixes: v.exactOptional(v.pipe(v.array(noteFixSchema), v.maxLength(STEERING_LIMITS.fixes))),
  slides: v.exactOptional(v.pipe(v.array(noteSlideSchema), v.maxLength(STEERING_LIMITS.fixes))),
  choices: v.exactOptional(whole(1, STEERING_LIMITS.choices)),
  keep: v.exactOptional(
    v.pipe(
      v.array(
        v.pipe(
          v.object({
            from: whole(1, STEERING_LIMITS.bars),
            to: whole(1, STEERING_LIMITS.bars),
            recipe,
            chords: v.exactOptional(
              v.pipe(v.array(v.pipe(v.string(), v.maxLength(400))), v.maxLength(STEERING_LIMITS.bars)),
            ),
          }),
          v.check((k) => k.from <= k.to, 'the first bar is not after the last'),
        ),
      ),
      v.maxLength(STEERING_LIMITS.recipes),
    ),
  ),
  like: v.exactOptional(recipes),
  unlike: v.exactOptional(recipes),
  again: v.exactOptional(recipes),
});

/** The harp as the figures see it: only the strings of the register asked for. */
export function steeredHarp(instrument: Instrument, { register }: Steering): Instrument {
  if (register === undefined) return instrument;
  const [lowest, highest] = register;
  return {
    ...instrument,
    lowest: Math.max(instrument.lowest, lowest),
    highest: Math.min(instrument.highest, highest),
  };
}

/** Plucked notes to the felt beat in tenths, rounded down; a tremble counts its notes once, a sweep its strings. */
export function densityOf(passage: Passage): number {
  const metre = passage.bars[0]?.metre;
  if (metre === undefined) return 0;
  const notes =
    passage.plucks.length +
    passage.trembles.reduce((n, t) => n + t.notes.length, 0) +
    passage.sweeps.reduce((n, s) => n + Math.abs(s.to - s.from) + 1, 0);
  return Math.floor((10 * notes * beatTicks(metre)) / Math.max(1, passageEnd(passage)));
}

/** The lowest and the highest string of a passage, or null where nothing is struck. */
function compassUsed({ plucks, trembles, sweeps }: Passage): readonly [number, number] | null {
  const strings = [
    ...[...plucks, ...trembles.flatMap((t) => t.notes)].map((n) => stringOf(n.pitch)),
    ...sweeps.flatMap((s) => [s.from, s.to]),
  ];
  if (strings.length === 0) return null;
  return strings.reduce<[number, number]>((r, s) => [Math.min(r[0], s), Math.max(r[1], s)], [46, 0]);
}

/** A breach of what was asked, with the limit that it breaks. */
function breach(family: string, limit: SteeringLimit, found: string, allowed: string): Problem {
  const problem = unsuited(family, found, `${allowed}, as asked for`);
  return { ...problem, detail: { ...problem.detail, limit } };
}

/** What a draft breaks of what was asked: known before its pedals are planned. */
export function draftRefusals(family: string, passage: Passage, steering: Steering): Problem[] {
  const { density, register } = steering;
  const out: Problem[] = [];
  if (density !== undefined) {
    const tenths = densityOf(passage);
    const [least, most] = density;
    if (tenths < Math.floor(10 * least) || tenths > Math.ceil(10 * most))
      out.push(breach(family, 'density', `${tenths / 10} notes to the beat`, `${least} to ${most}`));
  }
  const used = register === undefined ? null : compassUsed(passage);
  if (register !== undefined && used !== null && (used[0] < register[0] || used[1] > register[1])) {
    const found = `it goes from ${stringName(used[0])} to ${stringName(used[1])}`;
    out.push(breach(family, 'register', found, `${stringName(register[0])} to ${stringName(register[1])}`));
  }
  return out;
}

/** What a planned passage breaks of what was asked. */
export function planRefusals(
  family: string,
  planned: PlannedPassage,
  { word }: Difficulty,
  { hardest, mostMoves, register }: Steering,
): Problem[] {
  const moves = planned.moves.length;
  // A respelling may have gone to the string beside.
  const out = register === undefined ? [] : draftRefusals(family, planned.passage, { register });
  if (mostMoves !== undefined && moves > mostMoves)
    out.push(breach(family, 'mostMoves', `${moves} pedal moves`, `at most ${mostMoves}`));
  if (hardest !== undefined && DIFFICULTY_WORDS.indexOf(word) > DIFFICULTY_WORDS.indexOf(hardest))
    out.push(breach(family, 'hardest', `it is ${word}`, `at most ${hardest}`));
  return out;
}

/** A draft that lies near what is not wanted. Distances of 500. */
export const nearUnwanted = (family: string, far: number, least: number): Problem => {
  const problem = unsuited(family, `it is ${far} of 500 from what is not wanted`, `${least}`);
  return { ...problem, detail: { ...problem.detail, limit: 'unlike' satisfies SteeringLimit } };
};
