/** What the part worker answers, as plain calls: a part read and checked, mended, or arranged from the piano. */

import { type Result, fail, ok } from '../base/result';
import type { Ticks } from '../base/units';
import { CONCERT_HARP, INSTRUMENTS, type Instrument, LEVER_HARP } from '../harp/instrument';
import { patchMusicXml } from '../interchange/musicxml-patch';
import { type ReadOptions, type ReadPart, type Unread, readPart } from '../interchange/read-part';
import type { Passage } from '../music/passage';
import { type CheckReport, checkInSteps, checkPart } from '../proposals/check';
import { checkLevers } from '../proposals/check-levers';
import { silentPart } from '../proposals/check-silent';
import { applyRepairs, mendInSteps } from '../proposals/mend/mend';
import { respellings } from '../proposals/mend/plan-file';
import { printedNotes, scoreEdits } from '../proposals/mend/score-edits';
import type { MendAnswer } from '../proposals/mend/types';
import { repairFile } from '../proposals/mend/write';
import { type NoteFix, withNoteFixesWhere } from '../proposals/note-fix';
import type { Difficulty } from '../reduction/types';
import { type Arranged, type Retexture, arrange } from './part-arranged';

/** A file and how its part is to be read. */
export interface PartQuestion {
  /** The file's name. */
  readonly name: string;
  readonly bytes: Uint8Array;
  /** Name or number of the part; null takes the harp, else the two-staff part. */
  readonly part: string | null;
  /** Thousandths of quarters a minute, where the user sets the tempo; null takes the file's. */
  readonly milliBpm: number | null;
  /** Id of the harp that it is held against; the concert harp unless given. */
  readonly harp?: string;
  /** How the file is read where it does not say (see `ReadOptions`). */
  readonly how?: Pick<ReadOptions, 'harmonics' | 'transpose'>;
  /** Spellings that the user fixed. */
  readonly fixes?: readonly NoteFix[];
}

export interface OpenedPart {
  readonly partName: string;
  /** The parts of the file, as they are asked for; fewer than two where there is no choice. */
  readonly parts: readonly string[];
  readonly passage: Passage;
  readonly tempoGiven: boolean;
  /** What the file holds and the reader does not understand. */
  readonly unread: readonly Unread[];
  readonly report: CheckReport;
}

export interface MendQuestion extends PartQuestion {
  /** Repairs that the user takes, by id. */
  readonly repairs: readonly string[];
}

export interface MendedPart {
  /** Errors with the repairs offered for them, in the order of the part. */
  readonly mendings: MendAnswer['mendings'];
  /** Ids of the repairs that together leave no error. */
  readonly chosen: readonly string[];
  readonly remaining: MendAnswer['remaining'];
  /** Repairs that there was no time to try, and that are not offered. */
  readonly untried: MendAnswer['untried'];
  /** The part with the repairs that the user takes. */
  readonly report: CheckReport;
}

export interface ReduceQuestion extends PartQuestion {
  readonly difficulty: Difficulty;
  /** Changes that the user does not want, by id. */
  readonly refused: readonly string[];
  /** Chord symbols that the user set right, by tick of their onset. */
  readonly chords: Readonly<Record<string, string>>;
  readonly retextures: readonly Retexture[];
}

export const harpOf = ({ harp }: PartQuestion): Instrument =>
  INSTRUMENTS.find((i) => i.id === harp) ?? CONCERT_HARP;

interface Source extends ReadPart {
  /** The file, with the spellings that the user fixed written into it where it is a score. */
  readonly bytes: Uint8Array;
}

const optionsOf = ({ part, how }: PartQuestion): ReadOptions => ({
  ...how,
  ...(part === null ? {} : { part }),
});

/** The part with the spellings that the user fixed; one that names no note any more asks for nothing. */
function fixed(question: PartQuestion, read: ReadPart): Source {
  const { name, bytes, fixes = [], how } = question;
  if (fixes.length === 0) return { ...read, bytes };
  const passage = withNoteFixesWhere(read.passage, fixes);
  const changes = scoreEdits(read, { ...read, passage }, respellings(read.passage, passage), 'voice');
  const patched =
    changes === null || changes.length === 0 ? null : patchMusicXml(bytes, changes, how?.harmonics);
  if (patched?.ok !== true) return { ...read, passage, bytes };
  const again = readPart(name, patched.value, optionsOf(question));
  if (!again.ok) return { ...read, passage, bytes };
  return {
    ...again.value,
    passage: withNoteFixesWhere(again.value.passage, fixes),
    bytes: patched.value,
  };
}

/** Reads the part that is wanted; one without notes is refused. */
export function readAsked(question: PartQuestion): Result<Source> {
  const { name, bytes, milliBpm } = question;
  const found = readPart(name, bytes, optionsOf(question));
  if (!found.ok) return found;
  const source = fixed(question, found.value);
  const silent = silentPart(source);
  if (silent !== null) return fail(silent);
  return ok(
    milliBpm === null
      ? source
      : { ...source, passage: { ...source.passage, tempo: [{ onset: 0 as Ticks, milliBpm }] } },
  );
}

/** Reads and checks; bad input is one problem. `told` hears the share that is done, 0 to 1. */
export function openPart(
  question: PartQuestion,
  told: (share: number) => void = () => undefined,
): Result<OpenedPart> {
  const found = readAsked(question);
  if (!found.ok) return found;
  const { partName, parts = [], tempoGiven, unread, passage } = found.value;
  const opened = { partName, parts, tempoGiven, unread, passage };
  if (question.harp === LEVER_HARP.id) return ok({ ...opened, report: checkLevers(passage, LEVER_HARP) });
  const steps = checkInSteps(found.value, harpOf(question));
  for (;;) {
    const step = steps.next();
    if (step.done === true) return ok({ ...opened, report: step.value });
    told(step.value);
  }
}

/** The same file, read the same way: what was found for it still stands. */
const sameSource = (a: PartQuestion, b: PartQuestion): boolean =>
  [a.name, a.part, a.milliBpm, a.harp].join() === [b.name, b.part, b.milliBpm, b.harp].join() &&
  JSON.stringify([a.how, a.fixes]) === JSON.stringify([b.how, b.fixes]) &&
  a.bytes.length === b.bytes.length &&
  a.bytes.every((byte, i) => byte === b.bytes[i]);

/**
 * Repairs for every error, and the part with those that the user takes. `told` hears the share that is done, 0 to 1.
 * What was found for a part is kept until another is asked for: taking a repair does not look for all anew.
 */
export function mendDesk(): (question: MendQuestion, told?: (share: number) => void) => Result<MendedPart> {
  let kept: { readonly question: PartQuestion; readonly part: Source; readonly answer: MendAnswer } | null =
    null;
  return (question, told = () => undefined) => {
    if (kept === null || !sameSource(kept.question, question)) {
      kept = null;
      const found = readAsked(question);
      if (!found.ok) return found;
      const part = found.value;
      const steps = mendInSteps(part, harpOf(question), {
        handsGiven: part.handsGiven,
        printedAs: printedNotes(part),
      });
      let step = steps.next();
      for (; step.done !== true; step = steps.next()) told(step.value);
      kept = { question, part, answer: step.value };
    }
    const { mendings, chosen, remaining, untried } = kept.answer;
    const repaired = applyRepairs(kept.part, mendings, question.repairs, harpOf(question));
    return ok({ mendings, chosen, remaining, untried, report: checkPart(repaired, harpOf(question)) });
  };
}

/** A part read at another pitch than it is written at is no longer that of its file, and is written anew. */
export const concert = (read: ReadPart, { how }: PartQuestion): ReadPart =>
  how?.transpose === 'apply' ? { ...read, sources: new Map() } : read;

/** The user's own score with the repairs that were taken, or with all where none was: MusicXML bytes. */
export function mendedFile(question: PartQuestion & Partial<MendQuestion>): Result<Uint8Array> {
  const found = readAsked(question);
  if (!found.ok) return found;
  const { part, how } = question;
  const options = {
    kind: 'musicxml' as const,
    ...(part === null ? {} : { part }),
    ...(how?.harmonics === undefined ? {} : { harmonics: how.harmonics }),
  };
  const read = concert(found.value, question);
  return ok(repairFile(found.value.bytes, read, question.repairs ?? [], options, harpOf(question)));
}

/** The part as harp music. `told` hears the share that is done, 0 to 1. */
export function reduceOpened(
  question: ReduceQuestion,
  told: (share: number) => void = () => undefined,
): Result<Arranged> {
  const found = readAsked(question);
  if (!found.ok) return found;
  const { passage } = found.value;
  const { difficulty, refused, chords, retextures } = question;
  const made = arrange({
    ...{ passage, difficulty, refused, corrected: chords, retextures, told },
    ...(question.fixes === undefined ? {} : { fixes: question.fixes }),
  });
  if (made !== null) return ok(made);
  return fail({
    code: 'part-silent',
    severity: 'error',
    where: { kind: 'file' },
    value: found.value.partName,
    limit: 'a part with notes',
    source: 'common practice',
  });
}
