/** XML text to a tree and back: saxes reads (no entity bombs, no external entities), xast writes. */

import { SaxesParser } from 'saxes';
import type { Element, ElementContent } from 'xast';
import { x } from 'xastscript';
import { xmlText } from '../interchange/musicxml/write/xml';

/** Nothing we engrave is nested deeper; what is deeper is refused. */
const MOST_DEPTH = 200;

/**
 * The root element of a document, comments and processing instructions dropped, attributes in their order.
 * Null where the text is not well-formed XML or is nested deeper than 200 elements.
 */
export function readXml(text: string): Element | null {
  const parser = new SaxesParser();
  const holder: Element = { type: 'element', name: '', attributes: {}, children: [] };
  const open: Element[] = [holder];
  let broken = false;
  const top = (): Element => open.at(-1) ?? holder;
  const addText = (value: string): void => {
    if (open.length > 1 && value !== '') top().children.push({ type: 'text', value });
  };
  parser.on('error', () => {
    broken = true;
  });
  parser.on('opentag', (tag) => {
    if (open.length > MOST_DEPTH) broken = true;
    if (broken) return;
    const attributes: Record<string, string> = {};
    for (const [name, value] of Object.entries(tag.attributes)) attributes[name] = String(value);
    const element: Element = { type: 'element', name: tag.name, attributes, children: [] };
    top().children.push(element);
    open.push(element);
  });
  parser.on('closetag', () => {
    if (!broken && open.length > 1) open.pop();
  });
  parser.on('text', addText);
  parser.on('cdata', addText);
  try {
    parser.write(text).close();
  } catch {
    return null;
  }
  const root = holder.children.find((child): child is Element => child.type === 'element');
  return broken || root === undefined ? null : root;
}

/** A tree as text, without a declaration. */
export const writeXml = (element: Element): string => xmlText(element, false);

export const elementsOf = (element: Element): Element[] =>
  element.children.filter((child): child is Element => child.type === 'element');

/** The first child element of that name. */
export const childOf = (element: Element, name: string): Element | undefined =>
  elementsOf(element).find((child) => child.name === name);

/** All text inside an element, joined. */
export function textIn(element: Element): string {
  return element.children
    .map((child) => (child.type === 'text' ? child.value : child.type === 'element' ? textIn(child) : ''))
    .join('');
}

/** A tree with every element replaced by what `change` makes of it, children first; null drops it. */
export function mapElements(element: Element, change: (e: Element) => Element | null): Element | null {
  const children: ElementContent[] = [];
  for (const child of element.children) {
    if (child.type !== 'element') {
      children.push(child);
      continue;
    }
    const mapped = mapElements(child, change);
    if (mapped !== null) children.push(mapped);
  }
  return change({ ...element, children });
}

/** A new element, typed. */
export function element(
  name: string,
  attributes: Record<string, string>,
  ...children: ElementContent[]
): Element {
  return x(name, attributes, ...children);
}
