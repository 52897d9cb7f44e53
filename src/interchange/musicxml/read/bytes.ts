/** Bytes to XML text: zip containers, byte order marks and encodings, with caps on size. */

import { type Result, ok } from '../../../base/result';
import { fileProblem, tooManyBytes } from '../../problems';
import { parseXml } from './tree';
import { unpack } from './zip';

/** As many as are gone through within a second, whatever they hold; the largest orchestral score tried has 3 MiB. */
export const MAX_BYTES = 20 * 1024 * 1024;

export const isZip = (bytes: Uint8Array): boolean => bytes[0] === 0x50 && bytes[1] === 0x4b;

/** The text of a MusicXML file, unpacked where it is an `.mxl`. */
export function musicXmlText(input: Uint8Array | string): Result<string> {
  if (typeof input === 'string') {
    if (input.trim() === '') return fileProblem('file-empty', 0, 'a file with music');
    if (input.length > MAX_BYTES) return tooLarge(input.length);
    return ok(input.replace(/^\ufeff/, ''));
  }
  if (input.byteLength === 0) return fileProblem('file-empty', 0, 'a file with music');
  if (input.byteLength > MAX_BYTES) return tooLarge(input.byteLength);
  return isZip(input) ? scoreInZip(input) : decodeText(input);
}

const tooLarge = (size: number): Result<never> => tooManyBytes(size, MAX_BYTES);

/** UTF-8 or UTF-16 by byte order mark, by the pattern of the first `<`, or by the XML declaration. */
export function encodingOf(bytes: Uint8Array): { readonly encoding: string; readonly mark: boolean } {
  const [a, b, c] = bytes;
  if (a === 0xff && b === 0xfe) return { encoding: 'utf-16le', mark: true };
  if (a === 0xfe && b === 0xff) return { encoding: 'utf-16be', mark: true };
  if (a === 0x3c && b === 0) return { encoding: 'utf-16le', mark: false };
  if (a === 0 && b === 0x3c) return { encoding: 'utf-16be', mark: false };
  if (a === 0xef && b === 0xbb && c === 0xbf) return { encoding: 'utf-8', mark: true };
  const head = String.fromCharCode(...bytes.subarray(0, 200));
  const declared = /^\s*<\?xml[^>]*encoding\s*=\s*["']([A-Za-z0-9._-]+)["']/.exec(head)?.[1];
  // A file that says UTF-16 in single bytes is not in it.
  const encoding = declared === undefined || /^utf-?16/i.test(declared) ? 'utf-8' : declared;
  return { encoding, mark: false };
}

/** The text of bytes in the encoding that they show or declare, without a byte order mark. */
export function decodeText(bytes: Uint8Array): Result<string> {
  const { encoding } = encodingOf(bytes);
  try {
    // `fatal`: bytes that are not text are refused, not replaced in silence.
    const text = new TextDecoder(encoding, { fatal: true }).decode(bytes);
    return text.trim() === '' ? fileProblem('file-empty', 0, 'a file with music') : ok(text);
  } catch {
    return fileProblem('file-encoding', encoding, 'UTF-8, UTF-16 or the encoding that the file declares');
  }
}

const XML_NAME = /\.(xml|musicxml)$/i;

/** All entries of an `.mxl`, and which is the score: the root file of META-INF/container.xml, else the first by name. */
export function scoreEntry(
  bytes: Uint8Array,
  wanted: (name: string) => boolean = () => true,
): Result<{ readonly path: string; readonly entries: Map<string, Uint8Array> }> {
  const entries = unpack(bytes, wanted, MAX_BYTES);
  if (!entries.ok) return entries;
  const named = rootFile(entries.value.get('META-INF/container.xml'));
  const path =
    named !== null && entries.value.has(named)
      ? named
      : [...entries.value.keys()]
          .filter((name) => XML_NAME.test(name) && !name.startsWith('META-INF/'))
          .sort()[0];
  if (path !== undefined) return ok({ path, entries: entries.value });
  const found =
    named === null
      ? 'no META-INF/container.xml names one, and no .musicxml or .xml is in it'
      : `its container names “${named.slice(0, 80)}”, which is not in it`;
  return fileProblem('zip-no-score', found, 'an .mxl with a MusicXML score');
}

/** The score that a container names, or null. */
function rootFile(container: Uint8Array | undefined): string | null {
  const text = container === undefined ? null : decodeText(container);
  const tree = text?.ok === true ? parseXml(text.value) : null;
  if (tree?.ok !== true) return null;
  const files = tree.value.children.flatMap((child) => child.children);
  return files.find((file) => file.name === 'rootfile')?.attributes['full-path'] ?? null;
}

function scoreInZip(bytes: Uint8Array): Result<string> {
  const found = scoreEntry(bytes, (name) => XML_NAME.test(name));
  if (!found.ok) return found;
  return decodeText(found.value.entries.get(found.value.path) as Uint8Array);
}
