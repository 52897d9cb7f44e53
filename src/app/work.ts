/** What the user works on, as plain data with a schema: the part of the page's state that outlives it. */

import * as v from 'valibot';
import { parseFigure } from '../figures/language';
import type { MusicXmlOptions } from '../interchange/musicxml-write';
import type { Progression } from '../harmony/types';
import type { Metre } from '../music/metre';
import { steeringSchema } from '../proposals/steer';
import type { ProposeRequest, Steering } from '../proposals/types';
import { CONCERT_HARP, INSTRUMENTS } from '../harp/instrument';
import { SETTING_COUNT } from '../harp/setting';
import { FIRST_GLISS, glissSchema } from './gliss-input';
import { melodyOf } from './melody-input';

/** Metres that the figures are written for. */
export const METRES = ['2/4', '3/4', '4/4', '5/4', '6/8', '9/8', '12/8'] as const;
export type MetreName = (typeof METRES)[number];

export const TEMPO = { least: 30, most: 240 } as const;
export const VOLUME = { least: -40, most: 0, first: -18 } as const;
/** Bounds of the speed of listening; the page asks for tempos of 30 to 240. */
export const RATE = { least: 0.125, most: 8 } as const;
/** Proposals asked for at once. */
export const COUNT = 24;
export const LONGEST_TEXT = 4000;
export const LARGEST_FIGURE = 64 * 1024;
export const MOST_FIGURES = 12;
export const SEED = /^[A-Za-z0-9._-]{1,40}$/;

const inputSchema = v.object({
  title: v.pipe(v.string(), v.maxLength(200)),
  /** Whose piece it is: on pages and in files. */
  composer: v.optional(v.pipe(v.string(), v.maxLength(200)), ''),
  text: v.pipe(v.string(), v.maxLength(LONGEST_TEXT)),
  metre: v.picklist(METRES),
  /** Quarter notes a minute. */
  tempo: v.pipe(v.number(), v.integer(), v.minValue(TEMPO.least), v.maxValue(TEMPO.most)),
  /** For Roman numerals; empty leaves it to be guessed. */
  key: v.pipe(v.string(), v.maxLength(20)),
  seed: v.pipe(v.string(), v.regex(SEED)),
  /** Family ids; empty asks for all. */
  families: v.array(v.pipe(v.string(), v.maxLength(60))),
  /** Figures of the user's own, as the texts of their files. */
  figures: v.optional(
    v.pipe(v.array(v.pipe(v.string(), v.maxLength(LARGEST_FIGURE))), v.maxLength(MOST_FIGURES)),
    [],
  ),
  /** A melody to be accompanied, in words (figures/melody.ts); empty for none. */
  melody: v.optional(v.pipe(v.string(), v.maxLength(LONGEST_TEXT)), ''),
  /** How proposals are steered. */
  steering: v.optional(
    v.pipe(
      steeringSchema,
      v.transform((read) => read as Steering),
    ),
    {},
  ),
  aim: v.picklist(['practical', 'fewest']),
  start: v.nullable(v.pipe(v.number(), v.integer(), v.minValue(0), v.maxValue(SETTING_COUNT - 1))),
  /** The harp that is written for, by id. */
  harp: v.optional(v.picklist(INSTRUMENTS.map((i) => i.id)), CONCERT_HARP.id),
});

const soundSchema = v.object({
  /** A bar of clicks before the first note. */
  countIn: v.boolean(),
  room: v.boolean(),
  /** A player's unevenness of time and touch. */
  uneven: v.boolean(),
  /** A click on a note plays on from it; else it sounds that note alone. */
  clickPlays: v.optional(v.boolean(), true),
});
export type SoundSwitches = Readonly<v.InferOutput<typeof soundSchema>>;
const FIRST_SOUND: SoundSwitches = {
  countIn: false,
  room: true,
  uneven: true,
  clickPlays: true,
};

const scoreSchema = v.object({
  pedals: v.picklist(['none', 'settings', 'diagrams', 'words', 'two-lines']),
  pedalsBetween: v.boolean(),
  asWords: v.boolean(),
  fingering: v.boolean(),
  chords: v.boolean(),
  key: v.picklist(['given', 'harp']),
  courtesies: v.boolean(),
  glissandoStart: v.boolean(),
  acrossBeams: v.boolean(),
  handWords: v.boolean(),
  ottava: v.boolean(),
  /** One long line instead of systems that fill the page. */
  line: v.boolean(),
  /** Size of the notes; 1 is the usual. */
  zoom: v.pipe(v.number(), v.minValue(0.5), v.maxValue(2)),
});
/** How the score is printed, in the page and in files; names as in interchange/musicxml/write/options. */
export type ScoreSwitches = Readonly<v.InferOutput<typeof scoreSchema>>;
const FIRST_SCORE: ScoreSwitches = {
  pedals: 'words',
  pedalsBetween: false,
  asWords: false,
  fingering: false,
  chords: true,
  key: 'given',
  courtesies: true,
  glissandoStart: false,
  acrossBeams: true,
  handWords: true,
  ottava: true,
  line: false,
  zoom: 1,
};

/** What the user asked for besides the usual: a file that is given away has the writer's own defaults under it. */
export const askedOf = (score: ScoreSwitches): MusicXmlOptions =>
  Object.fromEntries(
    Object.entries(score).filter(([name, value]) => FIRST_SCORE[name as keyof ScoreSwitches] !== value),
  );

const workSchema = v.object({
  version: v.literal(1),
  input: inputSchema,
  /** The input that the list answers, or null where nothing was asked yet. The same input gives the same list. */
  asked: v.nullable(inputSchema),
  selected: v.nullable(v.string()),
  /** Decibels. */
  volume: v.pipe(v.number(), v.minValue(VOLUME.least), v.maxValue(VOLUME.most)),
  /** Speed of listening: 1 is the tempo asked for. */
  rate: v.pipe(v.number(), v.minValue(RATE.least), v.maxValue(RATE.most)),
  /** Absent in work that was kept before there were switches. */
  sound: v.optional(soundSchema, FIRST_SOUND),
  score: v.optional(scoreSchema, FIRST_SCORE),
  /** Where the user works: at chords of their own, at a part that they brought, or at a glissando. */
  desk: v.optional(v.picklist(['chords', 'part', 'gliss']), 'chords'),
  gliss: v.optional(glissSchema, FIRST_GLISS),
});

export type Input = Readonly<v.InferOutput<typeof inputSchema>>;
export type Work = Readonly<v.InferOutput<typeof workSchema>>;

export const DEFAULT_WORK: Work = {
  version: 1,
  input: {
    title: 'Lamplight on the Quay',
    composer: '',
    text: 'Ebmaj7 | Cm9 | Fm7 Bb7b9 | Eb6/9',
    metre: '4/4',
    tempo: 84,
    key: '',
    seed: '1',
    families: [],
    figures: [],
    melody: '',
    steering: {},
    aim: 'practical',
    start: null,
    harp: CONCERT_HARP.id,
  },
  asked: null,
  selected: null,
  volume: VOLUME.first,
  rate: 1,
  sound: FIRST_SOUND,
  score: FIRST_SCORE,
  desk: 'chords',
  gliss: FIRST_GLISS,
};

/** Work from a stored text; null where it is not JSON or not of this shape. */
export function decodeWork(text: string): Work | null {
  let data: unknown;
  try {
    data = JSON.parse(text);
  } catch {
    return null;
  }
  const result = v.safeParse(workSchema, data);
  return result.success ? result.output : null;
}

export const encodeWork = (work: Work): string => JSON.stringify(work);

export function metreOf(name: MetreName): Metre {
  const [beats, unit] = name.split('/').map(Number);
  return { beats: beats ?? 4, unit: unit ?? 4 };
}

export function requestOf(input: Input): ProposeRequest {
  const melody = melodyOf(input.melody);
  const figures = input.figures.flatMap((text) => {
    const read = parseFigure(text);
    return read.ok ? [read.value] : [];
  });
  return {
    text: input.text,
    metre: metreOf(input.metre),
    milliBpm: input.tempo * 1000,
    seed: input.seed,
    count: COUNT,
    families: input.families.length === 0 ? [] : [...input.families, ...figures.map((f) => f.id)],
    figures,
    ...(melody !== null && melody.ok ? { melody: melody.value } : {}),
    steering: input.steering,
    start: input.start,
    instrument: INSTRUMENTS.find((i) => i.id === input.harp) ?? CONCERT_HARP,
    aim: input.aim,
    key: input.key.trim() === '' ? null : input.key.trim(),
    title: input.title.trim(),
  };
}

/** Whether there is something to propose for: a chord that can be read, and no melody that cannot. */
export const canAsk = (input: Input, { chords }: Progression): boolean =>
  chords.some((c) => c.chord !== null) && melodyOf(input.melody)?.ok !== false;

/** Whether two inputs ask for the same list: the piece's name and its composer's change no note. */
export function sameInput(a: Input, b: Input): boolean {
  const music = ({ title: _title, composer: _composer, ...rest }: Input): string => JSON.stringify(rest);
  return music(a) === music(b);
}
