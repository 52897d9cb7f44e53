/** What the part worker answers, as plain calls: a part read and checked, mended, or arranged from the piano. */

import { type Result, fail, ok } from '../base/result';
import type { Ticks } from '../base/units';
import { CONCERT_HARP, INSTRUMENTS, type Instrument, LEVER_HARP } from '../harp/instrument';
import { type ReadPart, type Unread, readPart } from '../interchange/read-part';
import type { Passage } from '../music/passage';
import { type CheckReport, checkInSteps, checkPart } from '../proposals/check';
import { checkLevers } from '../proposals/check-levers';
import { applyRepairs, mendPart } from '../proposals/mend/mend';
import { printedNotes } from '../proposals/mend/score-edits';
import type { MendAnswer } from '../proposals/mend/types';
import { mendFile } from '../proposals/mend/write';
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
}

export interface OpenedPart {
  readonly partName: string;
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

export const hasNotes = (p: Passage): boolean => p.plucks.length + p.sweeps.length + p.trembles.length > 0;

const harpOf = ({ harp }: PartQuestion): Instrument => INSTRUMENTS.find((i) => i.id === harp) ?? CONCERT_HARP;

/** Reads the part that is wanted; one without notes is refused. */
function read({ name, bytes, part, milliBpm }: PartQuestion): Result<ReadPart> {
  const found = readPart(name, bytes, part === null ? {} : { part });
  if (!found.ok) return found;
  const value: ReadPart =
    milliBpm === null
      ? found.value
      : {
          ...found.value,
          passage: { ...found.value.passage, tempo: [{ onset: 0 as Ticks, milliBpm }] },
        };
  if (hasNotes(value.passage)) return ok(value);
  return fail({
    code: 'part-silent',
    severity: 'error',
    where: { kind: 'file' },
    value: value.partName,
    limit: 'a part with notes',
    source: 'common practice',
  });
}

/** Reads and checks; bad input is one problem. `told` hears the share that is done, 0 to 1. */
export function openPart(
  question: PartQuestion,
  told: (share: number) => void = () => undefined,
): Result<OpenedPart> {
  const found = read(question);
  if (!found.ok) return found;
  const { partName, tempoGiven, unread, passage } = found.value;
  if (question.harp === LEVER_HARP.id)
    return ok({ partName, passage, tempoGiven, unread, report: checkLevers(passage, LEVER_HARP) });
  const steps = checkInSteps(found.value, harpOf(question));
  for (;;) {
    const step = steps.next();
    if (step.done === true) return ok({ partName, passage, tempoGiven, unread, report: step.value });
    told(step.value);
  }
}

/** Repairs for every error, and the part with those that the user takes. */
export function mendOpened(question: MendQuestion): Result<MendedPart> {
  const found = read(question);
  if (!found.ok) return found;
  const part = found.value;
  const { mendings, chosen, remaining } = mendPart(part, harpOf(question), {
    handsGiven: part.handsGiven,
    printedAs: printedNotes(part),
  });
  const repaired = applyRepairs(part, mendings, question.repairs);
  return ok({ mendings, chosen, remaining, report: checkPart(repaired, harpOf(question)) });
}

/** The user's own score with every repair, all else in it as it was: MusicXML bytes. */
export function mendedFile(question: PartQuestion): Result<Uint8Array> {
  const found = read(question);
  if (!found.ok) return found;
  const { part, bytes } = question;
  const options = { kind: 'musicxml' as const, ...(part === null ? {} : { part }) };
  return ok(mendFile(bytes, found.value, options, harpOf(question)).bytes);
}

/** The part as harp music. `told` hears the share that is done, 0 to 1. */
export function reduceOpened(
  question: ReduceQuestion,
  told: (share: number) => void = () => undefined,
): Result<Arranged> {
  const found = read(question);
  if (!found.ok) return found;
  const { passage } = found.value;
  const { difficulty, refused, chords, retextures } = question;
  const made = arrange({ passage, difficulty, refused, corrected: chords, retextures, told });
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
