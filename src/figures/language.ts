/** The figure language: what presets/figures/*.json may say. How to write one is in presets/figures/README.md. */

import * as v from 'valibot';
import type { Problem } from '../base/problem';
import { type Result, fail, ok } from '../base/result';
import { UPBEATS } from './arc';
import { type Cell, deal, readCell, readRhythm } from './cells';
import { LEFT_FORMS, RIGHT_FORMS } from './hand-forms';

const stringNameSchema = v.pipe(v.string(), v.regex(/^[A-G][1-7]$/, 'a natural string such as C3'));
const windowSchema = v.tuple([stringNameSchema, stringNameSchema]);
const techniqueSchema = v.picklist(['ordinary', 'table', 'harmonic', 'etouffe', 'nail']);
const dynamicSchema = v.picklist(['ppp', 'pp', 'p', 'mp', 'mf', 'f', 'ff', 'fff']);

const cellSchema = v.pipe(
  v.string(),
  v.check((text) => readCell(text) !== null, 'steps such as L1, R*, R*+1, [L1 R1], ~[L* R*], . or -'),
  v.transform((text) => readCell(text) as Cell),
);
const rhythmSchema = v.pipe(
  v.string(),
  v.check((text) => readRhythm(text) !== null, 'lengths in steps such as 3 1, rests as .1'),
  v.transform((text) => readRhythm(text) as readonly number[]),
);

/** One or more of a list; always a list once read. */
const several = <const T extends v.GenericSchema>(item: T) =>
  v.union([
    v.pipe(
      item,
      v.transform((x) => [x]),
    ),
    v.pipe(v.array(item), v.minLength(1)),
  ]);

const layerSchema = v.pipe(
  v.strictObject({
    /** What a step is: the variant's own step, a felt beat, the whole chord, or a share of a beat: 3 for triplets. */
    every: v.optional(v.picklist(['step', 'beat', 'chord', 1.5, 2, 3, 4, 6]), 'step'),
    technique: v.optional(techniqueSchema, 'ordinary'),
    /** Every note is left to vibrate. */
    ring: v.optional(v.boolean(), false),
    /** Alternatives, of which two are drawn; each a list of cells of different lengths. */
    play: v.pipe(v.array(v.pipe(v.array(cellSchema), v.minLength(1))), v.minLength(1)),
    /** Alternatives of rhythms of different lengths: each cell's strokes are dealt on each in turn. */
    rhythm: v.optional(v.pipe(v.array(v.pipe(v.array(rhythmSchema), v.minLength(1))), v.minLength(1))),
  }),
  v.transform(({ rhythm, ...layer }) =>
    rhythm === undefined
      ? layer
      : {
          ...layer,
          play: layer.play.flatMap((cells) =>
            rhythm.map((lengths) => lengths.map((r, i) => deal(cells[i % cells.length] as Cell, r))),
          ),
        },
  ),
);

const notesSchema = (most: number) =>
  v.optional(several(v.pipe(v.number(), v.integer(), v.minValue(1), v.maxValue(most))), [1]);

const variantSchema = v.strictObject({
  name: v.string(),
  /** An ostinato: no phrase changes its cell. */
  steady: v.optional(v.boolean(), false),
  /** How the right hand may lead from phrase to phrase, in the last beat. */
  upbeat: v.optional(v.array(v.picklist(UPBEATS)), []),
  /** The way of the notes tells drafts apart: it joins the name. */
  contour: v.optional(v.boolean(), false),
  /** Steps to the felt beat that the figure may take; 0.5 is a step every other beat, 0 one step a chord. */
  perBeat: v.pipe(v.array(v.picklist([0, 0.5, 1, 2, 3, 4, 6, 8])), v.minLength(1)),
  /** Steps a second that it likes, least and most. */
  rate: v.tuple([v.number(), v.number()]),
  left: v.strictObject({
    form: several(v.picklist(LEFT_FORMS)),
    notes: notesSchema(16),
    windows: v.pipe(v.array(windowSchema), v.minLength(1)),
  }),
  right: v.strictObject({
    form: several(v.picklist(RIGHT_FORMS)),
    notes: notesSchema(16),
    windows: v.pipe(v.array(windowSchema), v.minLength(1)),
    joined: v.optional(v.boolean(), false),
    /** The right hand plays alone: it stands on the bass itself. */
    onBass: v.optional(v.boolean(), false),
  }),
  layers: v.pipe(v.array(layerSchema), v.minLength(1)),
  /** Cells of which one closes the last chord; its last stroke rings to the end. */
  ending: v.pipe(v.array(cellSchema), v.minLength(1)),
});

export const figureSchema = v.strictObject({
  id: v.pipe(v.string(), v.regex(/^[a-z]+(-[a-z]+)*$/, 'words in kebab-case')),
  name: v.string(),
  serves: v.string(),
  dynamics: v.pipe(v.array(dynamicSchema), v.minLength(1)),
  variants: v.pipe(v.array(variantSchema), v.minLength(1)),
});

export type Figure = v.InferOutput<typeof figureSchema>;
export type FigureVariant = Figure['variants'][number];
export type FigureLayer = FigureVariant['layers'][number];

/** What should stand there, in words: the choices for a word that is none of them. */
function wanted(issue: v.BaseIssue<unknown>): string {
  const inner = issue.issues?.[0];
  if (issue.type === 'union' && inner !== undefined) return wanted(inner);
  if (issue.type === 'picklist')
    return `one of ${String(issue.expected).replace(/[()"]/g, '').replaceAll(' | ', ', ')}`;
  if (issue.type === 'strict_object' && issue.expected === 'never') return 'no such key';
  if (issue.received === 'undefined') return 'something: it is missing';
  return issue.message;
}

/**
 * Reads a figure from parsed JSON. Fails with one problem a mistake: `value` is the place in the document
 * ('variants.0.layers.1.play.0.2'), `limit` what should stand there.
 */
export function readFigure(data: unknown): Result<Figure> {
  const read = v.safeParse(figureSchema, data);
  if (read.success) return ok(read.output);
  return fail(
    ...read.issues.map((issue): Problem => ({
      code: 'figure-file',
      severity: 'error',
      where: { kind: 'file' },
      value: v.getDotPath(issue) ?? '',
      limit: wanted(issue),
      source: 'the figure language',
    })),
  );
}

/** Reads a figure from the text of a file. Text that is no JSON fails with the line and column where it stops. */
export function parseFigure(text: string): Result<Figure> {
  let data: unknown;
  try {
    data = JSON.parse(text);
  } catch (error) {
    const { message } = error as Error;
    const at = /position (\d+)/.exec(message);
    const before = text.slice(0, at === null ? text.length : Number(at[1])).split('\n');
    return fail({
      code: 'figure-file',
      severity: 'error',
      where: { kind: 'file' },
      value: `line ${before.length}, column ${(before.at(-1) ?? '').length + 1}`,
      limit: 'JSON',
      source: 'the figure language',
    });
  }
  return readFigure(data);
}
