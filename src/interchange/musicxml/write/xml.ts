/** XML elements as data, printed with one element to a line. */

import type { Element, Root } from 'xast';
import { x } from 'xastscript';
import { toXml } from 'xast-util-to-xml';

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

/** A copy with line breaks between elements that hold only elements. */
function indented(node: Element, depth: number): Element {
  const inner = node.children;
  if (inner.length === 0 || inner.some((child) => child.type !== 'element')) return node;
  const pad = (n: number) => ({ type: 'text' as const, value: `\n${' '.repeat(n)}` });
  const children = inner.flatMap((child) => [pad(depth + 1), indented(child as Element, depth + 1)]);
  return { ...node, children: [...children, pad(depth)] };
}

/** The whole file. */
export function printScore(score: Element): string {
  const root: Root = {
    type: 'root',
    children: [
      { type: 'instruction', name: 'xml', value: 'version="1.0" encoding="UTF-8"' },
      { type: 'text', value: '\n' },
      {
        type: 'doctype',
        name: 'score-partwise',
        public: '-//Recordare//DTD MusicXML 4.0 Partwise//EN',
        system: 'http://www.musicxml.org/dtds/partwise.dtd',
      },
      { type: 'text', value: '\n' },
      indented(score, 0),
      { type: 'text', value: '\n' },
    ],
  };
  return toXml(root, { closeEmptyElements: true, tightClose: true });
}

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
