/** Reads a part from a file of any kind that is known, by what it holds first and by its name second. */

import type { Result } from '../base/result';
import { looksLikeMidi } from './midi/chunks';
import { readMidi } from './midi-read';
import { type ReadOptions, type ReadPart, readMusicXml } from './musicxml-read';
import { fileProblem } from './problems';
import { looksLikeSavedWork, readSavedPart } from './saved-work';

export type { NoteSource, ReadOptions, ReadPart, Unread, WrittenPedals } from './musicxml-read';

const MUSICXML = /\.(musicxml|xml|mxl)$/i;
const MIDI = /\.(midi?|smf)$/i;

/** Whether bytes begin as XML or a zip may: a byte order mark, `<` in one or two bytes, space, or `PK`. */
function mayBeMusicXml(bytes: Uint8Array): boolean {
  const [a, b] = bytes;
  if (a === 0x50 && b === 0x4b) return true;
  return a === 0x3c || (a === 0 && b === 0x3c) || a === 0xff || a === 0xfe || a === 0xef || (a ?? 0) <= 0x20;
}

/** A part from bytes; `name` is the file's name. Never throws: bad input is one problem. */
export function readPart(name: string, bytes: Uint8Array, options: ReadOptions = {}): Result<ReadPart> {
  if (bytes.byteLength === 0) return fileProblem('file-empty', 0, 'a file with music');
  if (looksLikeSavedWork(bytes)) return readSavedPart(bytes, options);
  if (looksLikeMidi(bytes) || MIDI.test(name)) return readMidi(bytes, options);
  if (MUSICXML.test(name) || mayBeMusicXml(bytes)) return readMusicXml(bytes, options);
  const suffix = /\.[^.]*$/.exec(name)?.[0] ?? 'no suffix';
  return fileProblem('file-kind', suffix, '.musicxml, .xml, .mxl, .mid or saved work');
}
