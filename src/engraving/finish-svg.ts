/** The engraver's SVG made ours: cleaned to a white list, diagrams drawn in, the music font taken out. */

import type { Element } from 'xast';
import { alignedPedals, withDampSigns, withGlissandoWord, withLowerRests, withRings } from './drawn';
import { type EngravingNotes, NOTHING_NOTED, isLineOfPedals, placeholderIndex } from './engraving-copy';
import type { Setting } from '../harp/setting';
import { settingName } from '../harp/setting';
import { type Box, RISE, headBoxes, isPedalWord, pedalWordDrop, wordBoxes } from './clearance';
import { type PedalDiagram, pedalDiagram } from './pedal-diagram';
import { element, elementsOf, mapElements, readXml, textIn, writeXml } from './xml-tree';

export interface FinishedSvg {
  readonly svg: string;
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

/** Only white-listed elements and attributes; references stay inside the drawing. */
function clean(e: Element): Element | null {
  if (!ELEMENTS.has(e.name)) return null;
  const attributes: Record<string, string> = {};
  for (const [name, value] of Object.entries(e.attributes)) {
    if (!ATTRIBUTES.has(name) || typeof value !== 'string') continue;
    if (name === 'href' && !value.startsWith('#')) continue;
    if (value.toLowerCase().includes('url(') || value.toLowerCase().includes('javascript:')) continue;
    attributes[name] = value;
  }
  return { ...e, attributes };
}

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

/** A `dir` group: a placeholder becomes its diagram; a pedal word is marked for the style sheet and set clear of the notes. */
function redraw(
  e: Element,
  diagrams: readonly Setting[],
  boxes: readonly Box[],
  heads: readonly Box[],
): Element {
  const classes = String(e.attributes['class'] ?? '');
  if (e.name !== 'g' || !classes.split(' ').includes('dir')) return e;
  const n = placeholderIndex(textIn(e).trim());
  const setting = n === null ? undefined : diagrams[n];
  const text = elementsOf(e).find((child) => child.name === 'text');
  const x = Number(text?.attributes['x'] ?? 0);
  const y = Number(text?.attributes['y'] ?? 0);
  if (setting !== undefined && text !== undefined) {
    return { ...e, children: [drawnDiagram(setting, x, y, boxes)] };
  }
  if (!isPedalWord(e)) return e;
  const drop = pedalWordDrop(x, y, heads);
  const inLines = isLineOfPedals(textIn(e));
  const attributes = { ...e.attributes, class: `${classes} pedal-move${inLines ? ' pedal-line' : ''}` };
  return { ...e, attributes: { ...attributes, transform: `translate(0, ${drop})` } };
}

/** Cleans an engraver's SVG and draws in what it leaves out. Null where it is not well-formed. */
export function finishSvg(svg: string, notes: EngravingNotes = NOTHING_NOTED): FinishedSvg | null {
  const root = readXml(svg);
  if (root === null || root.name !== 'svg') return null;
  const font = embeddedFont(root);
  const boxes = notes.diagrams.length === 0 ? [] : wordBoxes(root);
  const heads = headBoxes(root);
  const rings = new Set(notes.rings);
  const done = mapElements(root, (e) => {
    const cleaned = clean(e);
    if (cleaned === null) return null;
    const drawn = redraw(withDampSigns(cleaned), notes.diagrams, boxes, heads);
    return withLowerRests(withGlissandoWord(withRings(alignedPedals(drawn), rings)));
  });
  return done === null ? null : { svg: writeXml(done), font };
}
