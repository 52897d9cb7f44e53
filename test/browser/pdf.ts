// What a test must know of a PDF file: how many pages it has, and which words stand on them.
import { inflateSync } from 'node:zlib';

/** Pages: objects of type Page (ISO 32000-1, 7.7.3.3). */
export const pageCount = (pdf: Buffer): number =>
  pdf.toString('latin1').match(/\/Type\s*\/Page\b(?!s)/g)?.length ?? 0;

function streams(pdf: Buffer): string[] {
  const text = pdf.toString('latin1');
  const out: string[] = [];
  for (const match of text.matchAll(/stream\r?\n/g)) {
    const start = match.index + match[0].length;
    const end = text.indexOf('endstream', start);
    try {
      out.push(inflateSync(pdf.subarray(start, end)).toString('latin1'));
    } catch {
      // A picture or a font: not deflated, or not ours to read.
      continue;
    }
  }
  return out;
}

const unicode = (hex: string): string => Buffer.from(hex, 'hex').swap16().toString('utf16le');

/** A font's table from glyph to text (ISO 32000-1, 9.10.3). */
function glyphTable(cmap: string): Map<number, string> {
  const out = new Map<number, string>();
  for (const [, body] of cmap.matchAll(/beginbfchar([\s\S]*?)endbfchar/g)) {
    for (const [, code, text] of (body ?? '').matchAll(/<([0-9A-F]+)>\s*<([0-9A-F]+)>/gi)) {
      out.set(parseInt(code ?? '', 16), unicode(text ?? ''));
    }
  }
  for (const [, body] of cmap.matchAll(/beginbfrange([\s\S]*?)endbfrange/g)) {
    for (const [, a, b, text] of (body ?? '').matchAll(/<([0-9A-F]+)>\s*<([0-9A-F]+)>\s*<([0-9A-F]+)>/gi)) {
      const [low, high, first] = [a, b, text].map((hex) => parseInt(hex ?? '', 16)) as [
        number,
        number,
        number,
      ];
      for (let code = low; code <= high; code++) out.set(code, String.fromCharCode(first + code - low));
    }
  }
  return out;
}

/** The words of the file, run together, as each of its fonts would spell them: what stands there one of them spells. */
export function spellings(pdf: Buffer): string[] {
  const all = streams(pdf);
  const tables = all.filter((s) => s.includes('begincmap')).map(glyphTable);
  const shown = all
    .filter((s) => /\bBT\b/.test(s))
    .map((s) =>
      [...s.matchAll(/\[((?:[^\]]|\n)*?)\]\s*TJ|<([0-9A-F]+)>\s*Tj/gi)].map(([, many, one]) =>
        one !== undefined
          ? one
          : [...(many ?? '').matchAll(/<([0-9A-F]+)>/gi)].map(([, hex]) => hex).join(''),
      ),
    )
    .flat();
  return tables.map((table) =>
    shown
      .map((hex) => (hex.match(/.{4}/g) ?? []).map((code) => table.get(parseInt(code, 16)) ?? '').join(''))
      .join(''),
  );
}
