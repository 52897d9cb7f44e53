/** What the part worker answers, as plain calls: a file read and its part checked. */

import { type Result, fail, ok } from '../base/result';
import type { Ticks } from '../base/units';
import { type Unread, readPart } from '../interchange/read-part';
import type { Passage } from '../music/passage';
import { type CheckReport, checkPart } from '../proposals/check';

/** A file and how its part is to be read. */
export interface PartQuestion {
  /** The file's name. */
  readonly name: string;
  readonly bytes: Uint8Array;
  /** Name or number of the part; null takes the harp, else the two-staff part. */
  readonly part: string | null;
  /** Thousandths of quarters a minute, where the user sets the tempo; null takes the file's. */
  readonly milliBpm: number | null;
}

export interface OpenedPart {
  readonly partName: string;
  readonly passage: Passage;
  readonly tempoGiven: boolean;
  /** What the file holds and the reader does not understand. */
  readonly unread: readonly Unread[];
  readonly report: CheckReport;
}

export const hasNotes = (p: Passage): boolean => p.plucks.length + p.sweeps.length + p.trembles.length > 0;

/** Reads and checks; bad input is one problem. */
export function openPart({ name, bytes, part, milliBpm }: PartQuestion): Result<OpenedPart> {
  const read = readPart(name, bytes, part === null ? {} : { part });
  if (!read.ok) return read;
  const { partName, tempoGiven, unread, markings } = read.value;
  const passage: Passage =
    milliBpm === null
      ? read.value.passage
      : { ...read.value.passage, tempo: [{ onset: 0 as Ticks, milliBpm }] };
  if (!hasNotes(passage)) {
    return fail({
      code: 'part-silent',
      severity: 'error',
      where: { kind: 'file' },
      value: partName,
      limit: 'a part with notes',
      source: 'common practice',
    });
  }
  return ok({ partName, passage, tempoGiven, unread, report: checkPart({ passage, markings }) });
}
