/** Reads a part from a file of any kind that is known, by what it holds first and by its name second. */

import { type Result } from '../base/result';
import { type ReadOptions, type ReadPart, readMusicXml } from './musicxml-read';

export type { ReadOptions, ReadPart, Unread, WrittenPedals } from './musicxml-read';

/** A part from bytes; `name` is the file's name. Never throws: bad input is one problem. */
export function readPart(name: string, bytes: Uint8Array, options: ReadOptions = {}): Result<ReadPart> {
  void name;
  return readMusicXml(bytes, options);
}
