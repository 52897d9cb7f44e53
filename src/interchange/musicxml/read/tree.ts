/** XML text as a tree of plain elements with their places, read in one pass, with caps on depth and number. */

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
const MAX_ELEMENTS = 2_500_000;

const NAME = '[A-Za-z_:\\u0080-\\uffff][\\w:.\\u0080-\\uffff-]*';
const OPEN_NAME = new RegExp(`<(${NAME})`, 'y');
const ATTRIBUTE = new RegExp(`\\s+(${NAME})\\s*=\\s*(?:"([^"<]*)"|'([^'<]*)')`, 'y');
const TAG_END = /\s*(\/?)>/y;
const CLOSE_END = /\s*>/y;
/** Characters that XML 1.0 forbids. */
const FORBIDDEN = /[\u0000-\u0008\u000b\u000c\u000e-\u001f\ufffe\uffff]/;
/** Quoted texts, comments and instructions of a document type, whose brackets do not count. */
const DOCTYPE_PARTS = /"[^"]*"|'[^']*'|<!--[\s\S]*?-->|<\?[\s\S]*?\?>|[[\]>]/g;

const ENTITIES: Readonly<Record<string, string>> = { amp: '&', lt: '<', gt: '>', quot: '"', apos: "'" };

/** A fault of form, and where. */
class Fault extends Error {
  constructor(
    message: string,
    readonly at: number,
    readonly code: 'xml-broken' | 'xml-too-deep' | 'xml-too-large' = 'xml-broken',
    readonly limit: string | number = 'well-formed XML',
  ) {
    super(message);
  }
}

/** Text with its references replaced: the five of XML and numbers, so that nothing can expand or be fetched. */
function decoded(raw: string, at: number): string {
  const text = raw.includes('\r') ? raw.replace(/\r\n?/g, '\n') : raw;
  if (!text.includes('&')) return text;
  return text.replace(
    /&(#x[0-9a-fA-F]{1,6};|#[0-9]{1,7};|[A-Za-z]+;)?/g,
    (whole, name: string | undefined) => {
      const inner = name?.slice(0, -1) ?? '';
      const known = Object.hasOwn(ENTITIES, inner) ? ENTITIES[inner] : undefined;
      if (known !== undefined) return known;
      const code = inner.startsWith('#x')
        ? Number.parseInt(inner.slice(2), 16)
        : Number(inner.slice(1) || Number.NaN);
      if (!inner.startsWith('#') || !(code > 0 && code <= 0x10ffff))
        throw new Fault(`unknown entity ${whole.slice(0, 20)}`, at);
      return String.fromCodePoint(code);
    },
  );
}

/** The end of a comment, instruction or the like that begins at `at`. */
function endOf(text: string, close: string, at: number): number {
  const end = text.indexOf(close, at);
  if (end < 0) throw new Fault('an unclosed comment, instruction or section', at);
  return end + close.length;
}

/** The end of a document type that begins at `at`; what it declares is not used. */
function endOfDoctype(text: string, at: number): number {
  DOCTYPE_PARTS.lastIndex = at + 9;
  let depth = 0;
  for (let part = DOCTYPE_PARTS.exec(text); part !== null; part = DOCTYPE_PARTS.exec(text)) {
    if (part[0] === '[') depth++;
    else if (part[0] === ']') depth--;
    else if (part[0] === '>' && depth <= 0) return DOCTYPE_PARTS.lastIndex;
  }
  throw new Fault('an unclosed document type', at);
}

function parse(text: string): XmlElement {
  const stack: Open[] = [];
  let top: Open | null = null;
  let root: Open | null = null;
  let count = 0;
  let at = 0;
  const say = (raw: string, from: number): void => {
    if (raw.trim() === '') return;
    if (top === null) throw new Fault('text outside the root element', from);
    top.text += decoded(raw, from);
  };
  for (;;) {
    const tag = text.indexOf('<', at);
    if (tag !== at) say(text.slice(at, tag < 0 ? undefined : tag), at);
    if (tag < 0) break;
    const sign = text.charCodeAt(tag + 1);
    if (sign === 0x2f) {
      // </
      if (top === null) throw new Fault('an end tag without a start', tag);
      const { name } = top;
      CLOSE_END.lastIndex = tag + 2 + name.length;
      if (!text.startsWith(name, tag + 2) || !CLOSE_END.test(text))
        throw new Fault(`the end of ${name} is missing`, tag);
      top.innerEnd = tag;
      at = top.end = CLOSE_END.lastIndex;
      top.text = top.text.trim();
      stack.pop();
      top = stack.at(-1) ?? null;
    } else if (sign === 0x21) {
      // <!
      if (text.startsWith('<!--', tag)) at = endOf(text, '-->', tag + 4);
      else if (text.startsWith('<![CDATA[', tag) && top !== null) {
        at = endOf(text, ']]>', tag + 9);
        top.text += text.slice(tag + 9, at - 3);
      } else if (text.startsWith('<!DOCTYPE', tag) && root === null) at = endOfDoctype(text, tag);
      else throw new Fault('a declaration out of place', tag);
    } else if (sign === 0x3f) {
      at = endOf(text, '?>', tag + 2);
    } else {
      OPEN_NAME.lastIndex = tag;
      const name = OPEN_NAME.exec(text)?.[1];
      if (name === undefined) throw new Fault('a tag without a name', tag);
      at = OPEN_NAME.lastIndex;
      const attributes: Record<string, string> = {};
      ATTRIBUTE.lastIndex = at;
      for (let found = ATTRIBUTE.exec(text); found !== null; found = ATTRIBUTE.exec(text)) {
        const key = found[1] as string;
        if (Object.hasOwn(attributes, key)) throw new Fault(`two attributes ${key}`, tag);
        attributes[key] = decoded((found[2] ?? found[3]) as string, tag);
        at = ATTRIBUTE.lastIndex;
      }
      TAG_END.lastIndex = at;
      const end = TAG_END.exec(text);
      if (end === null) throw new Fault(`the tag of ${name} is not closed`, tag);
      at = TAG_END.lastIndex;
      if (stack.length >= MAX_DEPTH)
        throw new Fault(String(stack.length + 1), tag, 'xml-too-deep', MAX_DEPTH);
      if (++count > MAX_ELEMENTS) throw new Fault(String(count), tag, 'xml-too-large', MAX_ELEMENTS);
      const element: Open = {
        name,
        attributes,
        children: [],
        text: '',
        start: tag,
        end: at,
        innerStart: at,
        innerEnd: at,
      };
      if (top !== null) top.children.push(element);
      else if (root === null) root = element;
      else throw new Fault('a second root element', tag);
      if (end[1] === '') {
        stack.push(element);
        top = element;
      }
    }
  }
  if (top !== null) throw new Fault(`the end of ${(top as Open).name} is missing`, text.length);
  if (root === null) throw new Fault('no element', 0);
  return root;
}

/**
 * Parses well-formed XML 1.0. Fails with `xml-broken` and a line, `xml-too-deep` or `xml-too-large`. Document types
 * are passed over: no entity but the five of XML is known.
 */
export function parseXml(text: string): Result<XmlElement> {
  const source = text.startsWith('\ufeff') ? ` ${text.slice(1)}` : text;
  try {
    const control = FORBIDDEN.exec(source);
    if (control !== null) throw new Fault('a control character', control.index);
    return ok(parse(source));
  } catch (error) {
    if (!(error instanceof Fault)) throw error;
    let line = 1;
    for (let i = source.indexOf('\n'); i >= 0 && i < error.at; i = source.indexOf('\n', i + 1)) line++;
    return fileProblem(error.code, error.message, error.limit, { line });
  }
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
