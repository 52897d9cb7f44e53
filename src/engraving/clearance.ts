/** What stands where in an engraved page, so that diagrams and pedal words can be set clear of it. Units: the engraver's, 180 to a staff space. */

import type { Element } from 'xast';
import { placeholderSetting } from './engraving-copy';
import { elementsOf, mapElements, textIn } from './xml-tree';

export interface Box {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

/** Height of capitals over their baseline. */
export const RISE = 300;

const PEDAL_WORD = /^[A-G][♭♮♯](\s*[A-G][♭♮♯])*$/u;
const words = (e: Element): string => textIn(e).trim().replaceAll(/\s+/g, ' ');
export const isPedalWord = (e: Element): boolean => PEDAL_WORD.test(words(e));
const classesOf = (e: Element): readonly string[] => String(e.attributes['class'] ?? '').split(' ');

/** Where chord symbols, tempo and playing words stand: their first baseline, and a width guessed from their letters. */
export function wordBoxes(root: Element): Box[] {
  const boxes: Box[] = [];
  mapElements(root, (e) => {
    const classes = classesOf(e);
    const text = elementsOf(e).find((child) => child.name === 'text');
    if (text === undefined) return e;
    const playing =
      classes.includes('dir') && placeholderSetting(textIn(e).trim()) === null && !isPedalWord(e);
    if (!playing && !classes.includes('harm') && !classes.includes('tempo')) return e;
    const left = Number(text.attributes['x'] ?? 0);
    const y = Number(text.attributes['y'] ?? 0);
    const wide = playing ? 190 : 240;
    boxes.push({ left, right: left + wide * words(e).length, top: y - RISE, bottom: y + 100 });
    return e;
  });
  return boxes;
}

const AT = /^translate\((-?[\d.]+), (-?[\d.]+)\)/;
/** Where note heads stand: a staff space high and a little wider. */
export function headBoxes(root: Element): Box[] {
  const boxes: Box[] = [];
  mapElements(root, (e) => {
    if (!classesOf(e).includes('notehead')) return e;
    for (const use of elementsOf(e)) {
      const at = AT.exec(String(use.attributes['transform'] ?? ''));
      if (at === null) continue;
      const [x, y] = [Number(at[1]), Number(at[2])];
      boxes.push({ left: x, right: x + 230, top: y - 90, bottom: y + 90 });
    }
    return e;
  });
  return boxes;
}

/** Pedal words stand so much lower than the engraver sets them, at least and at most. */
const LOWER = { least: 60, most: 240 };
/** Room between a head and the word under it; width and height of a pedal's name. */
const GAP = 80;
const NAME = { width: 380, rise: 250 };

/** How far down a pedal word with its first baseline at (x, y) goes to stand clear of the heads over it. */
export function pedalWordDrop(x: number, y: number, heads: readonly Box[]): number {
  const drops = heads
    .filter((h) => h.left < x + NAME.width && h.right > x - 40 && h.top < y && h.bottom > y - 3 * RISE)
    .map((h) => h.bottom + GAP + NAME.rise - y);
  return Math.round(Math.min(LOWER.most, Math.max(LOWER.least, ...drops)));
}
