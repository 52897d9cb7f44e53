/** Zip files unpacked with a cap, each entry held to its checksum, and what is wrong said where one is damaged. */

import { Unzip, UnzipInflate } from 'fflate';
import { type Result, ok } from '../../../base/result';
import { fileProblem, tooManyBytes } from '../../problems';

/** What the central directory says of an entry (APPNOTE.TXT 6.3, section 4.3.12). */
interface Listed {
  readonly crc: number;
  readonly locked: boolean;
}

const DIRECTORY_END = 0x06054b50;
const DIRECTORY_ENTRY = 0x02014b50;
/** The end record is so long, and a comment of two bytes' length may follow it. */
const END_LENGTH = 22;
const LONGEST_COMMENT = 0xffff;

/** The list of contents at a zip's end, or null where it is not there or does not hold together. */
function directoryOf(bytes: Uint8Array): Map<string, Listed> | null {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const first = Math.max(0, bytes.byteLength - END_LENGTH - LONGEST_COMMENT);
  let end = bytes.byteLength - END_LENGTH;
  while (end >= first && view.getUint32(end, true) !== DIRECTORY_END) end--;
  if (end < first) return null;
  const count = view.getUint16(end + 10, true);
  let at = view.getUint32(end + 16, true);
  const out = new Map<string, Listed>();
  for (let i = 0; i < count; i++) {
    if (at + 46 > bytes.byteLength || view.getUint32(at, true) !== DIRECTORY_ENTRY) return null;
    const flags = view.getUint16(at + 8, true);
    const [name, extra, comment] = [28, 30, 32].map((k) => view.getUint16(at + k, true)) as [
      number,
      number,
      number,
    ];
    const text = new TextDecoder().decode(bytes.subarray(at + 46, at + 46 + name));
    out.set(text, { crc: view.getUint32(at + 16, true), locked: (flags & 1) === 1 });
    at += 46 + name + extra + comment;
  }
  return out;
}

const CRC_TABLE = Uint32Array.from({ length: 256 }, (_, i) => {
  let c = i;
  for (let k = 0; k < 8; k++) c = c & 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
  return c;
});

/** CRC-32 as zip files have it (ISO 3309, the polynomial 0xEDB88320 reflected). */
function crc32(bytes: Uint8Array): number {
  let c = 0xffffffff;
  for (const byte of bytes) c = ((CRC_TABLE[(c ^ byte) & 0xff] ?? 0) ^ (c >>> 8)) >>> 0;
  return (c ^ 0xffffffff) >>> 0;
}

const broken = (what: string): Result<never> => fileProblem('zip-broken', what, 'a whole .mxl file');
const quoted = (name: string): string => `“${name.slice(0, 80)}”`;

/** In small pieces, so that a bomb is stopped soon after the cap and not after it has unpacked. */
const STEP = 16 * 1024;

/** Unpacks the wanted entries, stopping at `most` bytes in all whatever sizes the zip declares. */
export function unpack(
  bytes: Uint8Array,
  wanted: (name: string) => boolean,
  most: number,
): Result<Map<string, Uint8Array>> {
  const directory = directoryOf(bytes);
  if (directory === null) return broken('it is cut short, or its list of contents is damaged');
  const locked = [...directory].find(([name, entry]) => entry.locked && wanted(name));
  if (locked !== undefined) return broken(`${quoted(locked[0])} is locked by a password`);
  const out = new Map<string, Uint8Array>();
  const begun = new Set<string>();
  let total = 0;
  let large = false;
  let failed: string | null = null;
  try {
    const zip = new Unzip((file) => {
      if (!wanted(file.name) || large || failed !== null) return;
      if ((file.originalSize ?? 0) > most) {
        large = true;
        return;
      }
      begun.add(file.name);
      const chunks: Uint8Array[] = [];
      let length = 0;
      file.ondata = (error, chunk, final) => {
        if (error !== null) failed ??= file.name;
        if (large || failed !== null) return;
        total += chunk.byteLength;
        length += chunk.byteLength;
        if (total > most) {
          large = true;
          file.terminate();
          return;
        }
        chunks.push(chunk);
        if (!final) return;
        const whole = new Uint8Array(length);
        let at = 0;
        for (const part of chunks) {
          whole.set(part, at);
          at += part.byteLength;
        }
        out.set(file.name, whole);
      };
      file.start();
    });
    zip.register(UnzipInflate);
    for (let at = 0; at < bytes.byteLength && !large && failed === null; at += STEP) {
      zip.push(bytes.subarray(at, at + STEP), at + STEP >= bytes.byteLength);
    }
  } catch {
    failed ??= [...begun].find((name) => !out.has(name)) ?? '';
  }
  if (large) return tooManyBytes(Math.max(total, most + 1), most);
  if (failed !== null)
    return broken(failed === '' ? 'it cannot be unpacked' : `${quoted(failed)} cannot be unpacked`);
  for (const [name, { crc }] of directory) {
    if (!wanted(name) || name.endsWith('/')) continue;
    const entry = out.get(name);
    if (entry === undefined) return broken(`${quoted(name)} is cut short or missing`);
    if (crc32(entry) !== crc) return broken(`${quoted(name)} is not what was packed: its checksum differs`);
  }
  return ok(out);
}
