/** The part that a call is about, and how it is read: FILE, `--part`, `--transpose`, `--harmonics`, `--tempo`. */

import type { Ticks } from '../base/units';
import type { ReadOptions, ReadPart } from '../interchange/read-part';
import type { Passage } from '../music/passage';
import { sentence } from '../playability/sentences';
import { silentPart } from '../proposals/check-silent';
import { type Parsed, UsageError, onePositional, optionText, tempoOption } from './args';
import { readPartFile } from './files';

/** Rows for the option table of every call that reads a part. */
export const PART_OPTIONS = {
  part: { type: 'string' },
  transpose: { type: 'string' },
  harmonics: { type: 'string' },
  tempo: { type: 'string' },
} as const;

/** The same in the lines of the help. */
export const PART_USAGE = '[--part NAME] [--transpose apply] [--harmonics string|sounding] [--tempo 90]';

/** Which part is read, and how: `--part NAME`, `--transpose apply|refuse`, `--harmonics string|sounding`. */
export function readOptions(parsed: Parsed): ReadOptions {
  const part = optionText(parsed, 'part');
  const transpose = optionText(parsed, 'transpose');
  const harmonics = optionText(parsed, 'harmonics');
  if (transpose !== null && transpose !== 'apply' && transpose !== 'refuse')
    throw new UsageError(`--transpose is apply or refuse, not “${transpose}”.`);
  if (harmonics !== null && harmonics !== 'string' && harmonics !== 'sounding')
    throw new UsageError(`--harmonics is string or sounding, not “${harmonics}”.`);
  return {
    ...(part === null ? {} : { part }),
    ...(transpose === null ? {} : { transpose }),
    ...(harmonics === null ? {} : { harmonics }),
  };
}

/** The same passage at one tempo throughout. */
const atTempo = (passage: Passage, milliBpm: number | null): Passage =>
  milliBpm === null ? passage : { ...passage, tempo: [{ onset: 0 as Ticks, milliBpm }] };

export interface NamedPart extends ReadPart {
  readonly path: string;
}

/** The part of the file that is named, at the tempo asked for. */
export function anyPart(parsed: Parsed): NamedPart {
  const path = onePositional(parsed, 'one file: .musicxml, .xml, .mxl, .mid or saved work');
  const tempo = tempoOption(parsed);
  const read = readPartFile(path, readOptions(parsed));
  return { ...read, passage: atTempo(read.passage, tempo), path };
}

/** The same where notes are needed `toDo` something with them: a part without any is refused. */
export function partOption(parsed: Parsed, toDo: string): NamedPart {
  const read = anyPart(parsed);
  const silent = silentPart(read);
  if (silent === null) return read;
  const why =
    silent.detail?.['kind'] === 'percussion' ? sentence(silent, []) : `the part has no notes ${toDo}.`;
  throw new UsageError(`“${read.path}”: ${why}`);
}
