/** Reading and writing files for the terminal, with sentences instead of stack traces. */

import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { type Figure, parseFigure } from '../figures/language';
import { type ReadOptions, type ReadPart, readPart } from '../interchange/read-part';
import { sentence } from '../playability/sentences';
import { type Parsed, UsageError, optionText } from './args';

const reason = (error: unknown): string => {
  const code = (error as NodeJS.ErrnoException).code;
  if (code === 'ENOENT') return 'there is no such file';
  if (code === 'EISDIR') return 'it is a folder';
  if (code === 'EACCES' || code === 'EPERM') return 'it may not be opened';
  if (code === 'ENOTDIR') return 'a part of the path is not a folder';
  return (error as Error).message;
};

/** The bytes of a file that is named. */
export function readBytes(path: string): Uint8Array {
  try {
    return readFileSync(path);
  } catch (error) {
    throw new UsageError(`“${path}” cannot be read: ${reason(error)}.`);
  }
}

/** Reads a part from a MusicXML or MIDI file, or from saved work. */
export function readPartFile(path: string, options: ReadOptions): ReadPart {
  const read = readPart(basename(path), readBytes(path), options);
  if (read.ok) return read.value;
  const problem = read.problems[0];
  throw new UsageError(
    `“${path}”: ${problem === undefined ? 'it is not music that can be read.' : sentence(problem, [])}`,
  );
}

/** Reads a figure of the user's own; a mistake is answered with its place in the document. */
export function readFigureFile(path: string): Figure {
  const read = parseFigure(new TextDecoder().decode(readBytes(path)));
  if (read.ok) return read.value;
  const problem = read.problems[0];
  throw new UsageError(`“${path}”: ${problem === undefined ? 'it is no figure.' : sentence(problem, [])}`);
}

/** Writes files into a folder, which is made where it is missing. */
export function writeInto(
  folder: string,
  files: readonly { readonly name: string; readonly bytes: Uint8Array | string }[],
): void {
  try {
    mkdirSync(folder, { recursive: true });
    for (const file of files) writeFileSync(join(folder, file.name), file.bytes);
  } catch (error) {
    throw new UsageError(`“${folder}” cannot be written to: ${reason(error)}.`);
  }
}

const KINDS: readonly (readonly [RegExp, 'musicxml' | 'mxl' | 'midi'])[] = [
  [/\.(musicxml|xml)$/i, 'musicxml'],
  [/\.mxl$/i, 'mxl'],
  [/\.(midi?|smf)$/i, 'midi'],
];

export const NAME_THE_FILE = 'Name the file to write: --out FILE.musicxml, .xml, .mxl or .mid.';

/** `--out FILE` with the kind that its name says; null where none is given. */
export function outOption(
  parsed: Parsed,
): { readonly path: string; readonly kind: 'musicxml' | 'mxl' | 'midi' } | null {
  const path = optionText(parsed, 'out');
  if (path === null) return null;
  const kind = KINDS.find(([suffix]) => suffix.test(path))?.[1];
  if (kind === undefined) throw new UsageError(NAME_THE_FILE);
  return { path, kind };
}
