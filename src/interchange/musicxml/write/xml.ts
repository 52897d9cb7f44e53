/** XML elements as data, printed with one element to a line. */

import type { Element } from 'xast';
import { x } from 'xastscript';

export type Node = Element | null;
type Attributes = Readonly<Record<string, string | number | undefined>>;

/** XML 1.0 forbids these control characters even as references. */
const FORBIDDEN =
  /[\u0000-\u0008\u000b\u000c\u000e-\u001f\ufffe\uffff]|[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/g;

/** Text that may stand in an XML file. */
export const cleanText = (text: string): string => text.replace(FORBIDDEN, '');

/** An element; `null` children are left out. */
export function el(name: string, attributes: Attributes, ...children: readonly Node[]): Element {
  return x(
    name,
    { ...attributes },
    children.filter((child) => child !== null),
  );
}

/** An element that holds text. */
export function text(name: string, value: string | number, attributes: Attributes = {}): Element {
  return x(name, { ...attributes }, cleanText(String(value)));
}

const REFERENCES: Readonly<Record<string, string>> = { '&': '&#x26;', '<': '&#x3C;', '"': '&#x22;' };
const reference = (sign: string): string => REFERENCES[sign] ?? sign;

/**
 * An element as text, its names taken as they are; with `indent`, elements that hold only elements get a line for each.
 * Half the time of writing a part was spent here when a general serializer did it.
 */
export function xmlText(node: Element, indent: boolean, depth = 0): string {
  let out = `<${node.name}`;
  for (const [name, value] of Object.entries(node.attributes)) {
    if (value !== undefined && value !== null) out += ` ${name}="${value.replace(/[&<"]/g, reference)}"`;
  }
  const inner = node.children;
  if (inner.length === 0) return `${out}/>`;
  const lines = indent && inner.every((child) => child.type === 'element');
  out += '>';
  for (const child of inner) {
    if (lines) out += `\n${' '.repeat(depth + 1)}`;
    if (child.type === 'element') out += xmlText(child, lines, depth + 1);
    else if (child.type === 'text') out += child.value.replace(/[&<]/g, reference);
  }
  return `${out}${lines ? `\n${' '.repeat(depth)}` : ''}</${node.name}>`;
}

const PROLOGUE = `<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" "http://www.musicxml.org/dtds/partwise.dtd">
`;

/** The whole file. */
export const printScore = (score: Element): string => `${PROLOGUE}${xmlText(score, true)}\n`;

/** Gives out ids that XML takes: the id itself where it can be one, and none twice. */
export function idMaker(): (id: string) => string {
  const used = new Set<string>();
  return (id) => {
    const safe = /^[A-Za-z_]/.test(id) ? id : `n${id}`;
    const base = safe.replace(/[^A-Za-z0-9_.-]/g, '_');
    let out = base;
    for (let i = 2; used.has(out); i++) out = `${base}_${i}`;
    used.add(out);
    return out;
  };
}
