/** A part bar by bar, each bar copied for the engraver once; windows of it as scores of their own. */

import type { Element } from 'xast';
import { type CopiedBar, copyBar, plainHead } from './engraving-copy';
import { childOf, element, elementsOf, mapElements, readXml, textIn, writeXml } from './xml-tree';

export interface ScoreBar extends CopiedBar {
  /** The bar's text, by which it is known again. */
  readonly text: string;
  /** Everything that the bar says of divisions, key, metre, staves and clefs, in order. */
  readonly attributes: readonly Element[];
  /** Hairpins, 8va lines, voltas and the like that begin in it less those that end in it. */
  readonly opens: number;
  /** Bars of rest that are gathered from it on; 1 for a bar of its own. */
  readonly gathers: number;
}

export interface ScoreCopy {
  /** The score without bars. */
  readonly head: Element;
  readonly bars: readonly ScoreBar[];
  /** Whether something is open at the bar line before a bar, by its index: a window does not begin or end there. */
  readonly open: readonly boolean[];
}

const BAR = /<measure[\s>][\s\S]*?<\/measure>/g;

/** Texts of the bars, and the score without them; null where the text is not one part of MusicXML, partwise. */
function piecesOf(musicXml: string): { head: Element; bars: readonly string[] } | null {
  const first = musicXml.search(/<measure[\s>]/);
  const last = musicXml.lastIndexOf('</measure>');
  const tail = musicXml.slice(last + '</measure>'.length);
  const plain =
    first >= 0 && /^\s*<\/part>\s*<\/score-partwise>\s*$/.test(tail) && !/<!--|<!\[CDATA\[/.test(musicXml);
  if (plain) {
    const head = readXml(musicXml.slice(0, first) + tail);
    const whole =
      head?.name === 'score-partwise' && elementsOf(head).filter((e) => e.name === 'part').length === 1;
    return whole ? { head, bars: musicXml.slice(first, last + '</measure>'.length).match(BAR) ?? [] } : null;
  }
  const root = readXml(musicXml);
  if (root === null || root.name !== 'score-partwise') return null;
  const bars = elementsOf(childOf(root, 'part') ?? root).filter((e) => e.name === 'measure');
  return { head: withBars(root, []), bars: bars.map(writeXml) };
}

/** The score with other bars in its first part. */
const withBars = (root: Element, bars: readonly Element[]): Element => {
  const part = childOf(root, 'part');
  return { ...root, children: root.children.map((c) => (c === part ? { ...part, children: [...bars] } : c)) };
};

const BEGINS = new Set(['start', 'crescendo', 'diminuendo', 'up', 'down']);
const ENDS = new Set(['stop', 'discontinue']);
const LINES = new Set(['wedge', 'octave-shift', 'ending', 'slur', 'slide', 'glissando', 'dashes', 'bracket']);

function readBar(text: string): ScoreBar | null {
  const measure = readXml(text);
  if (measure === null) return null;
  const copied = copyBar(measure);
  let opens = 0;
  let gathers = 1;
  const attributes: Element[] = [];
  mapElements(measure, (e) => {
    const type = String(e.attributes['type'] ?? '');
    if (LINES.has(e.name)) opens += BEGINS.has(type) ? 1 : ENDS.has(type) ? -1 : 0;
    if (e.name === 'multiple-rest') gathers = Math.max(1, Math.floor(Number(textIn(e))) || 1);
    if (e.name === 'attributes') attributes.push(e);
    return e;
  });
  return { ...copied, text, attributes, opens, gathers };
}

/** A part's bars; those whose text `known` holds are not read again. Null where it is not MusicXML. */
export function readScoreCopy(
  musicXml: string,
  known: ReadonlyMap<string, ScoreBar> = new Map(),
): ScoreCopy | null {
  const pieces = piecesOf(musicXml);
  const head = pieces === null ? null : plainHead(pieces.head);
  if (pieces === null || head === null) return null;
  const bars: ScoreBar[] = [];
  const open: boolean[] = [];
  let lines = 0;
  let gathered = 0;
  for (const text of pieces.bars) {
    const bar = known.get(text) ?? readBar(text);
    if (bar === null) return null;
    open.push(lines > 0 || gathered > 0);
    bars.push(bar);
    lines = Math.max(0, lines + bar.opens);
    gathered = Math.max(gathered - 1, bar.gathers - 1, 0);
  }
  return { head, bars, open };
}

/** What stands at a bar line: the last said of each, clefs by their staff. */
type Standing = ReadonlyMap<string, Element>;
const ORDER = ['divisions', 'key', 'time', 'staves', 'clef'];

function after(standing: Standing, attributes: readonly Element[]): Standing {
  const out = new Map(standing);
  for (const e of attributes.flatMap(elementsOf)) {
    if (ORDER.includes(e.name)) out.set(`${e.name} ${String(e.attributes['number'] ?? '')}`, e);
  }
  return out;
}

/** A key for what stands before a bar: where it is the same, the same bar looks the same. */
export function standingBefore({ bars }: ScoreCopy, index: number): Standing {
  return bars.slice(0, index).reduce((now, bar) => after(now, bar.attributes), new Map() as Standing);
}

/** Whether the same stands before these bars of two scores. */
export function sameStanding(a: Standing, b: Standing): boolean {
  const text = (s: Standing): string =>
    [...s]
      .map(([k, e]) => k + writeXml(e))
      .sort()
      .join();
  return text(a) === text(b);
}

/** The first bar of a window says what stands there; the metre that goes on is not printed. */
function opening(bar: Element, standing: Standing): Element {
  if (standing.size === 0) return bar;
  const own = bar.children.findIndex((c) => c.type === 'element' && c.name === 'attributes');
  const first = bar.children.findIndex((c) => c.type === 'element' && c.name === 'note');
  const leading = own >= 0 && (first < 0 || own < first);
  const said = leading ? (bar.children[own] as Element) : element('attributes', {});
  const here = after(new Map(), [said]);
  const shown = [...after(standing, [said])].map(([key, e]) =>
    e.name === 'time' && !here.has(key) ? { ...e, attributes: { ...e.attributes, 'print-object': 'no' } } : e,
  );
  shown.sort((a, b) => ORDER.indexOf(a.name) - ORDER.indexOf(b.name));
  const rest = elementsOf(said).filter((e) => !ORDER.includes(e.name));
  const attributes = element('attributes', {}, ...shown, ...rest);
  const children = bar.children.filter((c) => !leading || c !== said);
  return { ...bar, children: [attributes, ...children] };
}

/** Id of a bar in the engraver's copy, and the bar of an id. */
export const barId = (index: number): string => `bar-${index}`;

/**
 * Bars `from` to `to` (end excluded) as a score of their own, a system begun at the bars of `breaks`. Bars have the ids
 * of `barId`, by their index in the whole part.
 */
export function windowText(
  score: ScoreCopy,
  from: number,
  to: number,
  breaks: readonly number[] = [],
): string {
  const bars = score.bars.slice(from, to).map(({ copy }, i): Element => {
    const index = from + i;
    const named = { ...copy, attributes: { ...copy.attributes, id: barId(index) } };
    const begun = i === 0 && from > 0 ? opening(named, standingBefore(score, from)) : named;
    if (!breaks.includes(index)) return begun;
    return { ...begun, children: [element('print', { 'new-system': 'yes' }), ...begun.children] };
  });
  return writeXml(withBars(score.head, bars));
}
