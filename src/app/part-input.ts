/** What the user brings: a file and how it is to be read and treated, as plain data with a schema. */

import * as v from 'valibot';
import { noteFixSchema } from '../proposals/note-fix';
import { noteSlideSchema } from '../proposals/note-slide';
import { steeringSchema } from '../proposals/steer';
import type { Steering } from '../proposals/types';
import { CONCERT_HARP, INSTRUMENTS, LEVER_HARP } from '../harp/instrument';
import { SETTING_COUNT } from '../harp/setting';

/** A file larger than this is not a part of a piece. */
export const LARGEST_FILE = 24 * 1024 * 1024;

/** More single spellings than anyone fixes by hand. */
export const MOST_FIXES = 500;
const FIRST_PLAN = { aim: 'practical', start: null, rules: {} } as const;

const name = v.pipe(v.string(), v.maxLength(300));
const ids = v.pipe(v.array(v.pipe(v.string(), v.maxLength(200))), v.maxLength(20_000));

const schema = v.object({
  version: v.literal(1),
  /** The file's name and its bytes in base64. */
  file: v.nullable(v.object({ name, data: v.string() })),
  /** Name or number of the part in the file; null takes the likeliest. */
  part: v.nullable(name),
  /** Quarter notes a minute, where the user sets them. */
  tempo: v.nullable(v.pipe(v.number(), v.minValue(20), v.maxValue(400))),
  /** The harp that it is held against, by id. */
  harp: v.optional(v.picklist([...INSTRUMENTS, LEVER_HARP].map((i) => i.id)), CONCERT_HARP.id),
  /** How the file is read where it does not say: null until it is asked. */
  harmonics: v.optional(v.nullable(v.picklist(['string', 'sounding'])), null),
  transposed: v.optional(v.boolean(), false),
  /** Checked and mended, arranged from the piano, or given the cheapest pedals. */
  purpose: v.picklist(['check', 'reduce', 'plan']),
  /** Spellings that the user fixed. */
  fixes: v.optional(v.pipe(v.array(noteFixSchema), v.maxLength(MOST_FIXES)), []),
  /** Pedal slides that the user wrote into the planned part. */
  slides: v.optional(v.pipe(v.array(noteSlideSchema), v.maxLength(MOST_FIXES)), []),
  /** What the pedal plan is to keep to. */
  plan: v.optional(
    v.object({
      aim: v.picklist(['practical', 'fewest']),
      start: v.nullable(v.pipe(v.number(), v.integer(), v.minValue(0), v.maxValue(SETTING_COUNT - 1))),
      rules: v.pipe(
        steeringSchema.entries.pedals.wrapped,
        v.transform((read) => read as NonNullable<Steering['pedals']>),
      ),
    }),
    FIRST_PLAN,
  ),
  /** Repairs that the user took. */
  repairs: ids,
  difficulty: v.picklist(['faithful', 'idiomatic', 'easy']),
  /** Changes of the reduction that the user does not want. */
  refused: ids,
  /** Chord symbols that the user set right, by tick of their onset. */
  chords: v.optional(v.record(v.pipe(v.string(), v.regex(/^\d+$/)), v.pipe(v.string(), v.maxLength(40))), {}),
  /** Bars, by index, that the user wants in a figure of the proposals. */
  retextures: v.optional(
    v.pipe(
      v.array(
        v.object({
          from: v.pipe(v.number(), v.integer(), v.minValue(0)),
          to: v.pipe(v.number(), v.integer(), v.minValue(0)),
          family: v.pipe(v.string(), v.maxLength(60)),
          seed: v.pipe(v.string(), v.maxLength(40)),
        }),
      ),
      v.maxLength(200),
    ),
    [],
  ),
});

export type PartInput = Readonly<v.InferOutput<typeof schema>>;

export const NO_PART: PartInput = {
  version: 1,
  file: null,
  part: null,
  tempo: null,
  harp: CONCERT_HARP.id,
  harmonics: null,
  transposed: false,
  purpose: 'check',
  fixes: [],
  slides: [],
  plan: FIRST_PLAN,
  repairs: [],
  difficulty: 'idiomatic',
  refused: [],
  chords: {},
  retextures: [],
};

/** From a stored text; null where it is not of this shape. */
export function decodePart(text: string): PartInput | null {
  try {
    const result = v.safeParse(schema, JSON.parse(text));
    return result.success ? result.output : null;
  } catch {
    return null;
  }
}

export const encodePart = (part: PartInput): string => JSON.stringify(part);

/** Bytes as base64, in pieces that no engine's argument limit minds. */
export function toBase64(bytes: Uint8Array): string {
  let text = '';
  for (let i = 0; i < bytes.length; i += 0x8000)
    text += String.fromCharCode(...bytes.subarray(i, i + 0x8000));
  return btoa(text);
}

export function fromBase64(text: string): Uint8Array {
  return Uint8Array.from(atob(text), (c) => c.charCodeAt(0));
}
