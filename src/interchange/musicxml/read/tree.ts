/** XML text as a tree of plain elements with their places, read by saxes, with caps on depth and number. */

import { SaxesParser } from 'saxes';
import { type Result, ok } from '../../../base/result';
import { fileProblem } from '../../problems';

export interface XmlElement {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  readonly children: readonly XmlElement[];
  /** The element's own text, trimmed. */
  readonly text: string;
  /** Offsets in the XML text, end excluded: the whole element, and what stands between its tags. */
  readonly start: number;
  readonly end: number;
  readonly innerStart: number;
  readonly innerEnd: number;
}

type Open = { -readonly [K in keyof XmlElement]: XmlElement[K] } & { children: Open[] };

const MAX_DEPTH = 64;
/** A part of 5,000 bars of twelve notes has nine tenths of them, an orchestral movement 140,000. */
const MAX_TAGS = 1_000_000;

/** Whether more tags or references begin than are read. */
function beyond(text: string, begin: string): boolean {
  let at = -1;
  for (let count = 0; count <= MAX_TAGS; count++) {
    at = text.indexOf(begin, at + 1);
    if (at < 0) return false;
  }
  return true;
}

/** Attributes of one element: more than any of MusicXML has. */
const MAX_ATTRIBUTES = 100;

/** What ends the parse at the first fault; holds the problem. */
class Stop extends Error {
  constructor(readonly problem: Result<never>) {
    super();
  }
}

/**
 * Parses well-formed XML 1.0. Fails with `xml-broken` and a line, `xml-too-deep` or `xml-too-large`. Document types
 * are passed over: no entity but the five of XML is known, so none can expand or be fetched.
 */
export function parseXml(text: string): Result<XmlElement> {
  for (const [begin, name] of Object.entries({ '<': 'tags', '&': 'references' })) {
    if (beyond(text, begin))
      return fileProblem('xml-too-large', `more than ${MAX_TAGS} ${name}`, `${MAX_TAGS} ${name}`);
  }
  const parser = new SaxesParser({ xmlns: false, position: false });
  const stack: Open[] = [];
  let top: Open | undefined;
  let root: Open | null = null;
  parser.on('error', ({ message }) => {
    throw new Stop(fileProblem('xml-broken', message, 'well-formed XML', { line: parser.line }));
  });
  let attributesHere = 0;
  let attributesAll = 0;
  parser.on('opentagstart', () => {
    attributesHere = 0;
  });
  parser.on('attribute', () => {
    attributesAll++;
    if (++attributesHere <= MAX_ATTRIBUTES && attributesAll <= MAX_TAGS) return;
    const most = attributesHere > MAX_ATTRIBUTES ? MAX_ATTRIBUTES : MAX_TAGS;
    const found = `more than ${most} attributes`;
    throw new Stop(fileProblem('xml-too-large', found, `${most} attributes`, { line: parser.line }));
  });
  parser.on('opentag', ({ name, attributes }) => {
    if (stack.length >= MAX_DEPTH) {
      throw new Stop(fileProblem('xml-too-deep', stack.length + 1, MAX_DEPTH, { line: parser.line }));
    }
    const at = parser.position;
    // No attribute of well-formed XML holds a '<', so the last one opens this tag.
    const start = text.lastIndexOf('<', at - 1);
    const places = { start, end: at, innerStart: at, innerEnd: at };
    const element: Open = { name, attributes, children: [], text: '', ...places };
    if (top === undefined) root ??= element;
    else top.children.push(element);
    stack.push(element);
    top = element;
  });
  const say = (chunk: string): void => {
    if (top !== undefined) top.text += chunk;
  };
  parser.on('text', say);
  parser.on('cdata', say);
  parser.on('closetag', () => {
    const done = stack.pop() as Open;
    top = stack.at(-1);
    done.end = parser.position;
    done.innerEnd = Math.max(done.innerStart, text.lastIndexOf('<', done.end - 1));
    done.text = done.text.trim();
  });
  try {
    parser.write(text).close();
  } catch (error) {
    if (error instanceof Stop) return error.problem;
    throw error;
  }
  return root === null ? fileProblem('xml-broken', 'no element', 'well-formed XML') : ok(root);
}

export const child = (element: XmlElement | undefined, name: string): XmlElement | undefined =>
  element?.children.find((c) => c.name === name);
export const children = (element: XmlElement | undefined, name: string): XmlElement[] =>
  element?.children.filter((c) => c.name === name) ?? [];
export const childText = (element: XmlElement | undefined, name: string): string | undefined =>
  child(element, name)?.text;
/** A finite number in a child, or undefined. */
export function childNumber(element: XmlElement | undefined, name: string): number | undefined {
  const found = childText(element, name);
  if (found === undefined || found === '') return undefined;
  const value = Number(found);
  return Number.isFinite(value) ? value : undefined;
}
