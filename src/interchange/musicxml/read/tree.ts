/** XML text as a tree of plain elements, with caps on depth and number. */

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

const MAX_DEPTH = 64;
const MAX_ELEMENTS = 1_200_000;

class Stop extends Error {}

/** Parses well-formed XML. No entity but the five of XML is known, so none can expand or fetch. */
export function parseXml(text: string): Result<XmlElement> {
  const parser = new SaxesParser({ xmlns: false });
  type Open = {
    name: string;
    attributes: Record<string, string>;
    children: XmlElement[];
    text: string;
    start: number;
    innerStart: number;
  };
  const stack: Open[] = [];
  let root: XmlElement | null = null;
  let count = 0;
  let problem: Result<never> | null = null;
  const stop = (found: Result<never>): never => {
    problem = found;
    throw new Stop();
  };
  parser.on('error', (error) =>
    stop(
      fileProblem('xml-broken', error.message.replace(/^\d+:\d+: /, ''), 'well-formed XML', {
        line: parser.line,
      }),
    ),
  );
  parser.on('opentag', (tag) => {
    if (stack.length >= MAX_DEPTH)
      stop(fileProblem('xml-too-deep', stack.length + 1, MAX_DEPTH, { line: parser.line }));
    if (++count > MAX_ELEMENTS)
      stop(fileProblem('xml-too-large', count, MAX_ELEMENTS, { line: parser.line }));
    stack.push({
      name: tag.name,
      attributes: tag.attributes as Record<string, string>,
      children: [],
      text: '',
      // No attribute of well-formed XML holds a '<', so the last one opens this tag.
      start: text.lastIndexOf('<', parser.position - 1),
      innerStart: parser.position,
    });
  });
  parser.on('text', (chunk) => {
    const top = stack.at(-1);
    if (top !== undefined) top.text += chunk;
  });
  parser.on('cdata', (chunk) => {
    const top = stack.at(-1);
    if (top !== undefined) top.text += chunk;
  });
  parser.on('closetag', () => {
    const done = stack.pop() as Open;
    const end = parser.position;
    const innerEnd = Math.max(done.innerStart, text.lastIndexOf('<', end - 1));
    const element: XmlElement = { ...done, text: done.text.trim(), end, innerEnd };
    const parent = stack.at(-1);
    if (parent === undefined) root = element;
    else parent.children.push(element);
  });
  try {
    parser.write(text).close();
  } catch (error) {
    if (problem !== null) return problem;
    if (!(error instanceof Stop)) {
      return fileProblem('xml-broken', (error as Error).message, 'well-formed XML', { line: parser.line });
    }
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
