// Validates MusicXML against the W3C 4.0 schema, where the shared data folder holds it.
import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { XmlDocument, XsdValidator, xmlRegisterInputProvider } from 'libxml2-wasm';

const FOLDER = new URL('../../../shared/data/musicxml-4.0/', import.meta.url);
export const hasSchema = existsSync(new URL('musicxml.xsd', FOLDER));

// The schema names its two imports by their address on the web: they are answered from the folder.
const ADDRESS = 'http://www.musicxml.org/xsd/';
const open = new Map<number, { bytes: Uint8Array; at: number }>();
let next = 1;
let validator: XsdValidator | null = null;

function schema(): XsdValidator {
  if (validator !== null) return validator;
  xmlRegisterInputProvider({
    match: (name) => name.startsWith(ADDRESS),
    open: (name) => {
      open.set(next, { bytes: readFileSync(new URL(name.slice(ADDRESS.length), FOLDER)), at: 0 });
      return next++;
    },
    read: (handle, buffer) => {
      const file = open.get(handle);
      if (file === undefined) return -1;
      const part = file.bytes.subarray(file.at, file.at + buffer.byteLength);
      buffer.set(part);
      file.at += part.byteLength;
      return part.byteLength;
    },
    close: (handle) => open.delete(handle),
  });
  const text = readFileSync(new URL('musicxml.xsd', FOLDER));
  const doc = XmlDocument.fromBuffer(text, { url: fileURLToPath(new URL('musicxml.xsd', FOLDER)) });
  validator = XsdValidator.fromDoc(doc);
  return validator;
}

let said = false;
/** Nothing, or what the schema says against the text; where the schema is absent, whether it is XML at all, saying so. */
export function schemaErrors(xml: string): string | null {
  const doc = XmlDocument.fromString(xml);
  if (!hasSchema) {
    if (!said) console.info('no MusicXML schema beside the project: held to be XML and no more');
    said = true;
    doc.dispose();
    return null;
  }
  try {
    schema().validate(doc);
    return null;
  } catch (error) {
    const details = (error as { details?: { message: string; line: number }[] }).details ?? [];
    return details.length === 0
      ? String(error)
      : details
          .map((d) => `${d.line}: ${d.message.trim()}`)
          .slice(0, 5)
          .join('\n');
  } finally {
    doc.dispose();
  }
}
