/** The figure language: what presets/figures/*.json may say, and how its play strings are read. */

import * as v from 'valibot';
import type { Problem } from '../base/problem';
import { type Result, fail, ok } from '../base/result';
import type { Hand } from '../music/passage';

const stringNameSchema = v.pipe(v.string(), v.regex(/^[A-G][1-7]$/, 'a natural string such as C3'));
const windowSchema = v.tuple([stringNameSchema, stringNameSchema]);
const techniqueSchema = v.picklist(['ordinary', 'table', 'harmonic', 'etouffe', 'nail']);
const dynamicSchema = v.picklist(['ppp', 'pp', 'p', 'mp', 'mf', 'f', 'ff', 'fff']);

/** One stroke: notes of the hands' voicings, struck together or rolled. */
export interface Stroke {
  readonly notes: readonly { readonly hand: Hand; readonly index: number | 'all' | 'top' }[];
  readonly roll: 'up' | 'down' | 'none' | null;
  /** Only the first time that its cell is played on a chord. */
  readonly once: boolean;
}
/** A step of a cell: a stroke, a rest, or the stroke before held on. */
export type Step = Stroke | 'rest' | 'hold';
export type Cell = readonly Step[];

const NOTE = /([LR])(\d|\*|\^)/g;
const TOKEN = /^([~\\=]?)(\[(?:[LR](?:\d|\*|\^))(?: [LR](?:\d|\*|\^))*\]|[LR](?:\d|\*|\^))(!?)$/;

/** Reads one step; null where it is none. */
function readStep(token: string): Step | null {
  if (token === '.') return 'rest';
  if (token === '-') return 'hold';
  const m = TOKEN.exec(token);
  if (m === null) return null;
  const notes = [...(m[2] as string).matchAll(NOTE)].map((n) => ({
    hand: n[1] as Hand,
    index: n[2] === '*' ? ('all' as const) : n[2] === '^' ? ('top' as const) : Number(n[2]),
  }));
  const roll = m[1] === '~' ? 'up' : m[1] === '\\' ? 'down' : m[1] === '=' ? 'none' : null;
  return { notes, roll, once: m[3] === '!' };
}

/** 'L1 R* [L2 R1]' → its steps; null where a word is no step. */
export function readCell(text: string): Cell | null {
  const tokens = text.match(/[~\\=]?\[[^\]]*\]!?|\S+/g) ?? [];
  const steps = tokens.map(readStep);
  return steps.length > 0 && steps.every((s) => s !== null) ? (steps as Step[]) : null;
}

const cellSchema = v.pipe(
  v.string(),
  v.check((text) => readCell(text) !== null, 'steps such as L1, R*, [L1 R1], ~[L* R*], . or -'),
  v.transform((text) => readCell(text) as Cell),
);

const layerSchema = v.strictObject({
  /** What a step is: the variant's own step, a felt beat, or the whole chord. */
  every: v.optional(v.picklist(['step', 'beat', 'chord']), 'step'),
  technique: v.optional(techniqueSchema, 'ordinary'),
  /** Every note is left to vibrate. */
  ring: v.optional(v.boolean(), false),
  /** Alternatives, of which one is picked; each a list of cells of different lengths. */
  play: v.pipe(v.array(v.pipe(v.array(cellSchema), v.minLength(1))), v.minLength(1)),
});

const variantSchema = v.strictObject({
  name: v.string(),
  /** An ostinato: no phrase changes its cell. */
  steady: v.optional(v.boolean(), false),
  /** The way of the notes tells drafts apart: it joins the name. */
  contour: v.optional(v.boolean(), false),
  /** Steps to the felt beat that the figure may take; 0.5 is a step every other beat, 0 one step a chord. */
  perBeat: v.pipe(v.array(v.picklist([0, 0.5, 1, 2, 3, 4, 6, 8])), v.minLength(1)),
  /** Steps a second that it likes, least and most. */
  rate: v.tuple([v.number(), v.number()]),
  left: v.strictObject({
    form: v.picklist(['bass', 'octave', 'low', 'tenth']),
    notes: v.optional(v.pipe(v.number(), v.integer(), v.minValue(1), v.maxValue(4)), 1),
    windows: v.pipe(v.array(windowSchema), v.minLength(1)),
  }),
  right: v.strictObject({
    form: v.picklist(['close', 'open', 'octave']),
    notes: v.optional(v.pipe(v.number(), v.integer(), v.minValue(1), v.maxValue(4)), 1),
    windows: v.pipe(v.array(windowSchema), v.minLength(1)),
    joined: v.optional(v.boolean(), false),
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
      limit: issue.message,
      source: 'the figure language',
    })),
  );
}
