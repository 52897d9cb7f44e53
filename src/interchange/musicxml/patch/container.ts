/** A score's file as text that can be put back: the same encoding, byte order mark and zip around it. */

import { type Zippable, zipSync } from 'fflate';
import { type Result, ok } from '../../../base/result';
import { decodeText, encodingOf, isZip, scoreEntry } from '../read/bytes';

export interface OpenScore {
  readonly text: string;
  /** The file with another text in it. */
  readonly close: (text: string) => Uint8Array;
}

/** The earliest date that a zip can tell: the same score gives the same bytes. */
const ZIP_DATE = new Date(1980, 0, 1);

/** A zip of these entries, in order; a `mimetype` is stored as it is. */
export function zip(entries: readonly (readonly [string, Uint8Array])[]): Uint8Array {
  const files: Zippable = {};
  for (const [name, bytes] of entries) {
    files[name] = [bytes, { level: name === 'mimetype' ? 0 : 6, mtime: ZIP_DATE }];
  }
  return zipSync(files);
}

const CONTAINER =
  '<?xml version="1.0" encoding="UTF-8"?>\n<container>\n <rootfiles>\n  <rootfile full-path="score.musicxml" ' +
  'media-type="application/vnd.recordare.musicxml+xml"/>\n </rootfiles>\n</container>\n';

/** A score's text as an `.mxl` (W3C MusicXML 4.0, compressed files). The same text gives the same bytes. */
export function mxl(xml: string): Uint8Array {
  const bytes = (text: string) => new TextEncoder().encode(text);
  return zip([
    ['mimetype', bytes('application/vnd.recordare.musicxml')],
    ['META-INF/container.xml', bytes(CONTAINER)],
    ['score.musicxml', bytes(xml)],
  ]);
}

export function openScore(bytes: Uint8Array): Result<OpenScore> {
  if (!isZip(bytes)) return openText(bytes);
  const found = scoreEntry(bytes);
  if (!found.ok) return found;
  const { path, entries } = found.value;
  const inner = openText(entries.get(path) as Uint8Array);
  if (!inner.ok) return inner;
  return ok({
    text: inner.value.text,
    close: (text) =>
      zip([...entries].map(([name, own]) => [name, name === path ? inner.value.close(text) : own] as const)),
  });
}

function openText(bytes: Uint8Array): Result<OpenScore> {
  const text = decodeText(bytes);
  if (!text.ok) return text;
  const { encoding, mark } = encodingOf(bytes);
  return ok({ text: text.value, close: (changed) => encode(changed, encoding, mark) });
}

/** Text in an encoding; characters that it lacks become references, and one that is not written becomes UTF-8. */
function encode(text: string, encoding: string, mark: boolean): Uint8Array {
  if (/^utf-?16/i.test(encoding)) {
    const little = /le$/i.test(encoding);
    const out = new Uint8Array(2 * text.length + (mark ? 2 : 0));
    const view = new DataView(out.buffer);
    if (mark) view.setUint16(0, 0xfeff, little);
    for (let i = 0; i < text.length; i++) view.setUint16((mark ? 2 : 0) + 2 * i, text.charCodeAt(i), little);
    return out;
  }
  const bytes = /^utf-?8$/i.test(encoding) ? null : singleBytes(encoding);
  if (bytes !== null) {
    const out: number[] = [];
    for (const sign of text) {
      const byte = bytes.get(sign);
      if (byte !== undefined) out.push(byte);
      else for (const c of `&#${sign.codePointAt(0)};`) out.push(c.charCodeAt(0));
    }
    return Uint8Array.from(out);
  }
  const declared = /^utf-?8$/i.test(encoding) ? text : text.replace(/(encoding\s*=\s*["'])[^"']*/, '$1UTF-8');
  return new TextEncoder().encode(mark ? `\ufeff${declared}` : declared);
}

/** The byte of each character of a single-byte encoding, or null where it is none. */
function singleBytes(encoding: string): Map<string, number> | null {
  const out = new Map<string, number>();
  const decoder = new TextDecoder(encoding);
  for (let byte = 0; byte < 256; byte++) {
    const sign = decoder.decode(Uint8Array.of(byte));
    if (byte < 128 && sign !== String.fromCharCode(byte)) return null;
    if (sign.length === 1 && sign !== '\ufffd') out.set(sign, byte);
  }
  return out.size > 128 ? out : null;
}
