/** XML as a tree that can be changed and printed: what is not touched keeps its very characters. */

import type { XmlElement } from '../read/tree';

/** An element: its tags as they stand in the file, and all that stands between them. */
export interface Node {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  open: string;
  close: string;
  /** Elements, and everything else as raw text (space, comments, character data). */
  content: (Node | string)[];
}

/** The tree of a parsed element. `text` is the text that was parsed. */
export function lossless(element: XmlElement, text: string): Node {
  const content: (Node | string)[] = [];
  let at = element.innerStart;
  for (const child of element.children) {
    if (child.start > at) content.push(text.slice(at, child.start));
    content.push(lossless(child, text));
    at = child.end;
  }
  if (element.innerEnd > at) content.push(text.slice(at, element.innerEnd));
  return {
    name: element.name,
    attributes: element.attributes,
    open: text.slice(element.start, element.innerStart),
    close: text.slice(element.innerEnd, element.end),
    content,
  };
}

/** Appends the element's text to a list of pieces. */
function printInto(node: Node, out: string[]): void {
  out.push(node.open);
  for (const item of node.content) {
    if (typeof item === 'string') out.push(item);
    else printInto(item, out);
  }
  out.push(node.close);
}
export function printNode(node: Node): string {
  const out: string[] = [];
  printInto(node, out);
  return out.join('');
}

const escaped = (text: string): string =>
  text.replace(/&/g, '&amp;').replace(/</g, '&lt;').replace(/>/g, '&gt;').replace(/"/g, '&quot;');

/** A new element. A child given as a string is character data; null children are left out. */
export function make(
  name: string,
  attributes: Readonly<Record<string, string | number>> = {},
  ...children: readonly (Node | string | number | null)[]
): Node {
  const tag = Object.entries(attributes).reduce((s, [k, v]) => `${s} ${k}="${escaped(String(v))}"`, name);
  const content = children
    .filter((child) => child !== null)
    .map((child) => (typeof child === 'object' ? child : escaped(String(child))));
  const own = Object.fromEntries(Object.entries(attributes).map(([k, v]) => [k, String(v)]));
  const empty = content.length === 0;
  return {
    name,
    attributes: own,
    open: `<${tag}${empty ? '/' : ''}>`,
    close: empty ? '' : `</${name}>`,
    content,
  };
}

/** A copy that shares nothing. */
export const copy = (node: Node): Node => ({
  ...node,
  content: node.content.map((item) => (typeof item === 'string' ? item : copy(item))),
});

/** Takes an attribute out of an element's tag. */
export function dropAttribute(node: Node, name: string): void {
  node.open = node.open.replace(new RegExp(`\\s${name}\\s*=\\s*("[^"]*"|'[^']*')`), '');
}

export const nodes = (parent: Node, name?: string): Node[] =>
  parent.content.filter(
    (item): item is Node => typeof item !== 'string' && (name === undefined || item.name === name),
  );
export const node = (parent: Node | undefined, name: string): Node | undefined =>
  parent === undefined ? undefined : nodes(parent, name)[0];
/** Character data of an element without children of its own. */
export const textOf = (parent: Node | undefined): string =>
  parent === undefined
    ? ''
    : parent.content
        .filter((item) => typeof item === 'string')
        .join('')
        .trim();
export const numberOf = (parent: Node | undefined, name: string): number | undefined => {
  const value = Number(textOf(node(parent, name)) || Number.NaN);
  return Number.isFinite(value) ? value : undefined;
};

const isSpace = (item: Node | string | undefined): item is string =>
  typeof item === 'string' && item.trim() === '';

/** Takes a child out, with the space before it. */
export function remove(parent: Node, child: Node): void {
  const at = parent.content.indexOf(child);
  if (at < 0) return;
  const before = isSpace(parent.content[at - 1]) ? 1 : 0;
  parent.content.splice(at - before, 1 + before);
}

export function replace(parent: Node, child: Node, ...others: readonly Node[]): void {
  const at = parent.content.indexOf(child);
  if (at < 0) return;
  const space = isSpace(parent.content[at - 1]) ? [parent.content[at - 1] as string] : [];
  parent.content.splice(at, 1, ...others.flatMap((other, i) => (i === 0 ? [other] : [...space, other])));
}

/** Puts children after another, or first of all; each on a line of its own where its neighbours are. */
export function insertAfter(parent: Node, after: Node | null, ...added: readonly Node[]): void {
  if (parent.close === '' && added.length > 0) {
    parent.open = parent.open.replace(/\s*\/>$/, '>');
    parent.close = `</${parent.name}>`;
  }
  const at = after === null ? 0 : parent.content.indexOf(after) + 1;
  const near = after ?? nodes(parent)[0];
  const where = near === undefined ? -1 : parent.content.indexOf(near);
  const space = isSpace(parent.content[where - 1]) ? [parent.content[where - 1] as string] : [];
  parent.content.splice(at, 0, ...added.flatMap((child) => [...space, child]));
}

export function insertBefore(parent: Node, before: Node, ...added: readonly Node[]): void {
  const at = parent.content.indexOf(before);
  const space = isSpace(parent.content[at - 1]) ? [parent.content[at - 1] as string] : [];
  parent.content.splice(at, 0, ...added.flatMap((child) => [child, ...space]));
}

/** Puts a child where the schema's order wants it: after the last sibling that may stand before it. */
export function insertInOrder(parent: Node, added: Node, order: readonly string[]): void {
  const rank = (name: string): number => order.indexOf(name);
  const before = nodes(parent).filter((sibling) => rank(sibling.name) <= rank(added.name));
  insertAfter(parent, before.at(-1) ?? null, added);
}
