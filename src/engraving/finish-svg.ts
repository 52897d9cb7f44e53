/** The engraver's SVG made ours: cleaned to a white list, diagrams drawn in, the music font taken out. */

import type { Element } from 'xast';
import { withDamping, withGlissandoWord, withLowerRests, withRings } from './drawn';
import { DAMPING, dampingSign, isDamping } from './damping';
import { placeholderSetting } from './engraving-copy';
import type { Setting } from '../harp/setting';
import { settingName } from '../harp/setting';
import { type Box, RISE, wordBoxes } from './clearance';
import { type PedalDiagram, pedalDiagram } from './pedal-diagram';
import { lowestWord, withPedalWords } from './pedal-words';
import { element, elementsOf, mapElements, readXml, textIn } from './xml-tree';

/** What of a drawing's notes is known from the score. */
export interface DrawnNotes {
  /** Ids of the score's notes: the engraver's own, made up for whatever has none, are dropped. */
  readonly notes: readonly string[];
  /** Ids of those that ring on. */
  readonly rings: readonly string[];
  /** Ids of those that are damped at once. */
  readonly damped: readonly string[];
}

export interface FinishedSvg {
  readonly drawing: Element;
  /** The music font used inside text, as base64 WOFF2, where the engraver sent it along. */
  readonly font: string | null;
}

/** Elements that engraved music consists of; everything else (scripts, styles, foreign objects, links) is dropped. */
const ELEMENTS = new Set(
  'svg g path use symbol defs ellipse rect polygon polyline line circle text tspan title desc'.split(' '),
);
const ATTRIBUTES = new Set(
  (
    'id class viewBox version xmlns width height overflow transform d x y x1 y1 x2 y2 cx cy rx ry r points href ' +
    'color fill stroke stroke-width stroke-linecap stroke-linejoin stroke-dasharray stroke-opacity fill-opacity ' +
    'opacity font-family font-size font-style font-weight text-anchor role aria-label'
  ).split(' '),
);

const embeddedFont = (root: Element): string | null => {
  const styles: string[] = [];
  mapElements(root, (e) => {
    if (e.name === 'style') styles.push(textIn(e));
    return e;
  });
  for (const style of styles) {
    const start = style.indexOf('base64,');
    const end = style.indexOf(')', start);
    if (start >= 0 && end > start) return style.slice(start + 'base64,'.length, end);
  }
  return null;
};

/** A glyph's name in the engraver's drawings ends in the drawing's own; one sign looks the same in all. */
const GLYPH = /^(#?[0-9A-F]{4,5})-\w+$/;

/**
 * Only white-listed elements and attributes; references stay inside the drawing. Blanks between elements and groups of
 * nothing are dropped, and of ids all but those of the score's notes and of glyphs: the rest are new each time.
 */
function clean(e: Element, notes: ReadonlySet<string> | null): Element | null {
  if (!ELEMENTS.has(e.name)) return null;
  const attributes: Record<string, string> = {};
  for (const [name, value] of Object.entries(e.attributes)) {
    if (!ATTRIBUTES.has(name) || typeof value !== 'string') continue;
    if (name === 'href' && !value.startsWith('#')) continue;
    if (value.toLowerCase().includes('url(') || value.toLowerCase().includes('javascript:')) continue;
    const glyph = GLYPH.exec(value)?.[1];
    if (name === 'id' && glyph === undefined && notes !== null && !notes.has(value)) continue;
    attributes[name] = name === 'id' || name === 'href' ? (glyph ?? value) : value;
    if (name === 'class') attributes[name] = value.replaceAll(/ ?\b(id-\w+|spanning)\b/g, '').trim();
  }
  const wordy = e.name === 'text' || e.name === 'tspan';
  const children = wordy ? e.children : e.children.filter((c) => c.type !== 'text' || c.value.trim() !== '');
  return e.name === 'g' && children.length === 0 ? null : { ...e, attributes, children };
}

/** Room under the lowest word. */
const FOOT = 60;
/** Size of one diagram unit in the engraver's units, of which a staff space has 180: four spaces high (common practice). */
const UNIT = 17;
/** Least room between a diagram and the words around it, in the engraver's units. */
const CLEAR = 60;

/** How far a diagram may slide down within the lines that its placeholder kept free. */
const SLIDES = [0, 75, 150, 225, 300];

/** The top of a diagram: within its placeholder's lines, or above the chord symbols and tempo that it would touch. */
function clearTop(x: number, y: number, diagram: PedalDiagram, words: readonly Box[]): number {
  const [width, height] = [diagram.width * UNIT, diagram.height * UNIT];
  const touchedAt = (top: number): Box[] =>
    words.filter(
      (w) => w.left < x + width && w.right > x && w.top < top + height + CLEAR && w.bottom > top - CLEAR,
    );
  const slide = SLIDES.find((down) => touchedAt(y - RISE + down).length === 0);
  if (slide !== undefined) return y - RISE + slide;
  let top = y - RISE;
  for (let again = 0; again < 4; again++) {
    const touched = touchedAt(top);
    if (touched.length === 0) break;
    top = Math.min(...touched.map((w) => w.top)) - height - CLEAR;
  }
  return top;
}

/** The diagram in the place of the placeholder whose first baseline starts at (x, y). */
function drawnDiagram(setting: Setting, x: number, y: number, words: readonly Box[]): Element {
  const diagram = pedalDiagram(setting);
  const left = x - 5 * UNIT;
  return element(
    'g',
    {
      class: 'pedal-diagram',
      transform: `translate(${left}, ${clearTop(left, y, diagram, words)}) scale(${UNIT})`,
      role: 'img',
      'aria-label': `Pedals ${settingName(setting)}`,
    },
    ...diagram.glyphs.map(({ code, d }) =>
      element('path', { class: `E${(code - 0xe000).toString(16).padStart(3, '0')}`, d, 'stroke-width': '0' }),
    ),
  );
}

/** A `dir` group: a placeholder becomes its diagram, a damping sign its outline. */
function redraw(e: Element, boxes: readonly Box[]): Element {
  const classes = String(e.attributes['class'] ?? '');
  if (e.name !== 'g' || !classes.split(' ').includes('dir')) return e;
  const given = textIn(e).trim();
  const setting = placeholderSetting(given);
  const text = elementsOf(e).find((child) => child.name === 'text');
  if (text === undefined) return e;
  const [x, y] = [Number(text.attributes['x'] ?? 0), Number(text.attributes['y'] ?? 0)];
  if (setting !== null) return { ...e, children: [drawnDiagram(setting, x, y, boxes)] };
  if (isDamping(given))
    return { ...e, children: [dampingSign(x + 130, y - 80, given === DAMPING['damp-all'])] };
  return e;
}

/** A drawing made as high as its lowest pedal word asks; both of the engraver's nested boxes alike. */
function highEnough(root: Element): Element {
  const inner = elementsOf(root).find((e) => e.attributes['class'] === 'definition-scale');
  const [outerBox, innerBox] = [root, inner].map((e) =>
    String(e?.attributes['viewBox'] ?? '')
      .split(' ')
      .map(Number),
  ) as [number[], number[]];
  const lowest = lowestWord(root) + FOOT;
  if (inner === undefined || lowest <= (innerBox[3] ?? Infinity) || outerBox.length !== 4) return root;
  const share = (outerBox[2] ?? 1) / (innerBox[2] ?? 1);
  const boxed = (e: Element, box: readonly number[], height: number): Element => ({
    ...e,
    attributes: { ...e.attributes, viewBox: [...box.slice(0, 3), height].join(' ') },
  });
  const taller = { ...boxed(inner, innerBox, lowest), children: inner.children };
  const children = root.children.map((c) => (c === inner ? taller : c));
  return boxed({ ...root, children }, outerBox, Math.ceil(lowest * share));
}

/**
 * Cleans an engraver's SVG and draws in what it leaves out; without `known` every id of a note is kept and none rings.
 * Null where it is not well-formed.
 */
export function finishSvg(svg: string, known: DrawnNotes | null = null): FinishedSvg | null {
  const root = readXml(svg);
  if (root === null || root.name !== 'svg') return null;
  const font = embeddedFont(root);
  const boxes = wordBoxes(root);
  const notes = known === null ? null : new Set(known.notes);
  const rings = new Set(known?.rings ?? []);
  const damped = new Set(known?.damped ?? []);
  const drawing = mapElements(root, (e) => {
    const cleaned = clean(e, notes);
    if (cleaned === null) return null;
    const isSystem = cleaned.attributes['class'] === 'system';
    const drawn = isSystem ? withPedalWords(cleaned) : redraw(cleaned, boxes);
    return withDamping(withLowerRests(withGlissandoWord(withRings(drawn, rings))), damped);
  });
  return drawing === null ? null : { drawing: highEnough(drawing), font };
}
