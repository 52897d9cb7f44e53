/** What stands where in an engraved page, so that diagrams and pedal words can be set clear of it. Units: the engraver's, 180 to a staff space. */

import type { Element } from 'xast';
import { placeholderSetting } from './engraving-copy';
import { isDamping } from './damping';
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

const STEM = /^M(-?[\d.]+) (-?[\d.]+) L\S+ (-?[\d.]+)/;
/** Where stems stand. */
export function stemBoxes(root: Element): Box[] {
  const boxes: Box[] = [];
  mapElements(root, (e) => {
    if (!classesOf(e).includes('stem')) return e;
    const line = STEM.exec(String(elementsOf(e).find(({ name }) => name === 'path')?.attributes['d'] ?? ''));
    if (line === null) return e;
    const [x, y1, y2] = [Number(line[1]), Number(line[2]), Number(line[3])];
    boxes.push({ left: x - 20, right: x + 20, top: Math.min(y1, y2), bottom: Math.max(y1, y2) });
    return e;
  });
  return boxes;
}

/** Where playing words, damping signs and dynamics stand that are no pedals and no diagrams. */
export function signBoxes(root: Element): Box[] {
  const boxes: Box[] = [];
  mapElements(root, (e) => {
    const classes = classesOf(e);
    const text = elementsOf(e).find((child) => child.name === 'text');
    const pedal = isPedalWord(e) || placeholderSetting(textIn(e).trim()) !== null;
    if (classes.includes('dir') && text !== undefined && !pedal) {
      const [x, y] = [Number(text.attributes['x'] ?? 0), Number(text.attributes['y'] ?? 0)];
      const damping = isDamping(words(e));
      const width = damping ? 420 : 190 * words(e).length;
      boxes.push({ left: x, right: x + width, top: y - RISE, bottom: y + (damping ? 120 : 100) });
    }
    if (classes.includes('dynam')) {
      for (const use of elementsOf(e)) {
        const at = AT.exec(String(use.attributes['transform'] ?? ''));
        if (at === null) continue;
        const [x, y] = [Number(at[1]), Number(at[2])];
        boxes.push({ left: x, right: x + 330, top: y - 250, bottom: y + 100 });
      }
    }
    return e;
  });
  return boxes;
}
