/** Saved work: what the user keeps, as a file of our own: versioned, validated, taken over from older versions. */

import * as v from 'valibot';
import { type Result, ok } from '../base/result';
import { ticks } from '../base/units';
import type { PlannedPassage } from '../harp/planned';
import { SETTING_COUNT } from '../harp/setting';
import { decodeText } from './musicxml/read/bytes';
import type { ReadOptions, ReadPart } from './musicxml-read';
import { fileProblem, tooManyBytes } from './problems';
import { plannedSchema } from './saved-work/planned-schema';

export const SAVED_WORK_FORMAT = 'harpwright';
export const SAVED_WORK_VERSION = 2;
/** The suffix of a saved file. */
export const SAVED_WORK_SUFFIX = '.harpwright.json';

const MAX_BYTES = 16 * 1024 * 1024;
/** Deepest nesting of what the page keeps beside the parts. */
const MAX_DEPTH = 24;

const short = v.pipe(v.string(), v.maxLength(200));
const setting = v.pipe(v.number(), v.integer(), v.minValue(0), v.maxValue(SETTING_COUNT - 1));

const inputSchema = v.looseObject({
  title: short,
  /** The chord progression as it was typed. */
  text: v.pipe(v.string(), v.maxLength(20_000)),
  metre: v.pipe(v.string(), v.regex(/^\d{1,2}\/(1|2|4|8|16|32)$/)),
  /** Quarter notes a minute. */
  tempo: v.pipe(v.number(), v.minValue(1), v.maxValue(1000)),
  key: short,
  seed: short,
  /** Family ids; empty asks for all. */
  families: v.pipe(v.array(short), v.maxLength(1000)),
  aim: v.picklist(['practical', 'fewest']),
  start: v.nullable(setting),
});

const partSchema = v.object({
  id: v.pipe(short, v.minLength(1)),
  name: short,
  origin: v.variant('kind', [
    v.object({ kind: v.literal('proposal'), family: short, seed: short }),
    v.object({ kind: v.literal('brought'), file: short }),
  ]),
  planned: plannedSchema,
});

const workSchema = v.object({
  format: v.literal(SAVED_WORK_FORMAT),
  version: v.literal(SAVED_WORK_VERSION),
  input: v.nullable(inputSchema),
  /** The input that the list of proposals answers, or null where nothing was asked yet. */
  asked: v.nullable(inputSchema),
  /** Proposals chosen and parts brought, in the user's order. */
  parts: v.pipe(
    v.array(partSchema),
    v.maxLength(10_000),
    v.check((parts) => new Set(parts.map((p) => p.id)).size === parts.length, 'two parts have one id'),
  ),
  /** Id of the part in view. */
  open: v.nullable(short),
  /** What else the page keeps (volume, speed, the proposal selected): plain JSON, kept as it is. */
  page: v.pipe(
    v.record(v.string(), v.unknown()),
    v.check((page) => shallow(page, MAX_DEPTH), 'nested too deeply'),
  ),
});

export type SavedInput = Readonly<v.InferOutput<typeof inputSchema>>;
export interface SavedPart {
  /** Unique in the file. */
  readonly id: string;
  readonly name: string;
  /** Where it comes from: a proposal, or a file that was brought. */
  readonly origin:
    | { readonly kind: 'proposal'; readonly family: string; readonly seed: string }
    | { readonly kind: 'brought'; readonly file: string };
  readonly planned: PlannedPassage;
}
/** The work without its format and version, which belong to the file. */
export interface SavedWork {
  readonly input: SavedInput | null;
  readonly asked: SavedInput | null;
  readonly parts: readonly SavedPart[];
  readonly open: string | null;
  readonly page: Readonly<Record<string, unknown>>;
}

function shallow(value: unknown, depth: number): boolean {
  if (typeof value !== 'object' || value === null) return true;
  return depth > 0 && Object.values(value).every((inner) => shallow(inner, depth - 1));
}

type Json = Readonly<Record<string, unknown>>;

/** From each version to the next. */
const MIGRATIONS: Readonly<Record<number, (old: Json) => Json>> = {
  // Version 1 is what the page kept for itself: the input and switches, no parts.
  1: ({ input, asked, ...page }) => ({
    format: SAVED_WORK_FORMAT,
    version: 2,
    input: input ?? null,
    asked: asked ?? null,
    parts: [],
    open: null,
    page: Object.fromEntries(Object.entries(page).filter(([key]) => key !== 'version' && key !== 'format')),
  }),
};

/** The file's text; the same work gives the same text. */
export const encodeSavedWork = ({ input, asked, parts, open, page }: SavedWork): string =>
  JSON.stringify({
    format: SAVED_WORK_FORMAT,
    version: SAVED_WORK_VERSION,
    input,
    asked,
    parts,
    open,
    page,
  });

/**
 * Work from a file's text or bytes. Fails with one problem: `file-empty`, `file-too-large`, `file-encoding`,
 * `work-broken` (no whole JSON), `work-kind` (JSON of something else), `work-version` (newer than this program), or
 * `work-shape` with the place that is wrong.
 */
export function decodeSavedWork(input: string | Uint8Array): Result<SavedWork> {
  const size = typeof input === 'string' ? input.length : input.byteLength;
  if (size > MAX_BYTES) return tooManyBytes(size, MAX_BYTES);
  const text = typeof input === 'string' ? ok(input.replace(/^\ufeff/, '')) : decodeText(input);
  if (!text.ok) return text;
  if (text.value.trim() === '') return fileProblem('file-empty', 0, 'a file with music');
  let data: unknown;
  try {
    data = JSON.parse(text.value);
  } catch {
    return fileProblem('work-broken', 'no whole JSON', 'a whole file of saved work');
  }
  if (typeof data !== 'object' || data === null || Array.isArray(data)) {
    return fileProblem('work-kind', 'other JSON', 'saved work');
  }
  return migrated(data as Json);
}

/** What is wrong, as the end of a sentence. */
function wrong({ expected, received, message }: v.BaseIssue<unknown>): string {
  if (received === 'undefined') return 'it is missing';
  return expected === null ? message : `it should be ${expected}, not ${received}`;
}

function migrated(data: Json): Result<SavedWork> {
  const { format, version } = data;
  const known =
    typeof version === 'number' &&
    Number.isInteger(version) &&
    (format === SAVED_WORK_FORMAT || (format === undefined && version === 1 && 'input' in data));
  if (!known) return fileProblem('work-kind', 'other JSON', 'saved work');
  if (version > SAVED_WORK_VERSION)
    return fileProblem('work-version', `version ${version}`, `version ${SAVED_WORK_VERSION}`);
  let current = data;
  for (let at = version; at < SAVED_WORK_VERSION; at++) {
    const step = MIGRATIONS[at];
    if (step === undefined)
      return fileProblem('work-version', `version ${version}`, `version ${SAVED_WORK_VERSION}`);
    current = step(current);
  }
  const parsed = v.safeParse(workSchema, current, { abortEarly: true });
  if (!parsed.success) {
    const [issue] = parsed.issues;
    return fileProblem('work-shape', v.getDotPath(issue) ?? 'the file', wrong(issue));
  }
  const { input, asked, parts, open, page } = parsed.output;
  return ok({ input, asked, parts, open, page });
}

/** Whether bytes begin as a JSON object, after a byte order mark and space. */
export function looksLikeSavedWork(bytes: Uint8Array): boolean {
  let at = bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf ? 3 : 0;
  while (at < bytes.byteLength && [0x20, 0x09, 0x0a, 0x0d].includes(bytes[at] as number)) at++;
  return bytes[at] === 0x7b;
}

/** The part asked for by name, id or number (from 1), else the one that was in view, else the first. */
export function chooseSavedPart(work: SavedWork, wanted: string | undefined): Result<SavedPart> {
  const { parts, open } = work;
  const [first] = parts;
  if (first === undefined) return fileProblem('work-no-part', 'no part', 'work with a part in it');
  if (wanted === undefined) return ok(parts.find((part) => part.id === open) ?? first);
  const name = wanted.trim().toLowerCase();
  const found =
    parts.find((part) => part.id.toLowerCase() === name || part.name.toLowerCase() === name) ??
    (/^\d+$/.test(name) ? parts[Number(name) - 1] : undefined) ??
    (name === '' ? undefined : parts.find((part) => part.name.toLowerCase().includes(name)));
  return found === undefined
    ? fileProblem('part-missing', wanted, parts.map((part, i) => part.name || String(i + 1)).join(', '))
    : ok(found);
}

/** A part of saved work as it would be read from a score: its pedal plan stands as marks. */
export function readSavedPart(bytes: Uint8Array, options: ReadOptions = {}): Result<ReadPart> {
  const work = decodeSavedWork(bytes);
  if (!work.ok) return work;
  const part = chooseSavedPart(work.value, options.part);
  if (!part.ok) return part;
  const { planned, name } = part.value;
  const { passage } = planned;
  return ok({
    passage,
    markings: {
      settings: [{ onset: ticks(0), setting: planned.start }],
      moves: planned.moves.map(({ onset, letter, to }) => ({ onset, letter, to })),
    },
    partName: name,
    tempoGiven: passage.tempo.length > 0,
    handsGiven: passage.plucks.every((pluck) => pluck.hand !== null),
    unread: [],
    sources: new Map(),
    planned,
  });
}
