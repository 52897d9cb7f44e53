/** The copy of a MusicXML part that the engraver is given: pedal diagrams replaced by words that can be found again. */

import type { Element } from 'xast';
import { type Setting, NATURAL_SETTING, type Position, withPosition } from '../harp/setting';
import { LETTERS, type Letter } from '../music/pitch';
import { childOf, element, elementsOf, mapElements, readXml, textIn, writeXml } from './xml-tree';

/** Placeholder of the n-th diagram: capitals and digits, on three lines so that room for the drawing is kept free. */
export const placeholder = (n: number): string => Array(3).fill(`HARPPED${n}`).join('\n');
const PLACEHOLDER = /^HARPPED(\d+)(?:\s*HARPPED\1)*$/;

/** Which diagram a word stands for, or null. */
export function placeholderIndex(text: string): number | null {
  const match = PLACEHOLDER.exec(text.trim());
  return match === null ? null : Number(match[1]);
}

export interface EngravingCopy {
  readonly xml: string;
  /** Settings of the diagrams, by placeholder number. */
  readonly diagrams: readonly Setting[];
}

const isLetter = (text: string): text is Letter => (LETTERS as readonly string[]).includes(text);

/** The setting that a `harp-pedals` element shows; pedals that it leaves out are natural. */
export function settingOfPedals(pedals: Element): Setting {
  let setting = NATURAL_SETTING;
  for (const tuning of elementsOf(pedals)) {
    const step = childOf(tuning, 'pedal-step');
    const alter = childOf(tuning, 'pedal-alter');
    const letter = step === undefined ? '' : textIn(step).trim();
    const position = alter === undefined ? NaN : Number(textIn(alter));
    if (isLetter(letter) && [-1, 0, 1].includes(position)) {
      setting = withPosition(setting, letter, position as Position);
    }
  }
  return setting;
}

/**
 * The engraver prints the degrees after a kind's own text, which names them already; and where there is no chord it
 * prints the root that the format demands, so that N.C. has to be a word.
 */
function plainHarmony(harmony: Element): Element {
  const kind = childOf(harmony, 'kind');
  const text = kind?.attributes['text'];
  if (kind === undefined || typeof text !== 'string') return harmony;
  if (textIn(kind).trim() !== 'none') {
    return {
      ...harmony,
      children: harmony.children.filter((c) => c.type !== 'element' || c.name !== 'degree'),
    };
  }
  const words = element('words', { 'font-style': 'normal' }, { type: 'text', value: text });
  const kept = elementsOf(harmony).filter((c) => c.name === 'offset' || c.name === 'staff');
  return element('direction', { placement: 'above' }, element('direction-type', {}, words), ...kept);
}

/**
 * The engraver (verovio 6.3) drops `harp-pedals`, so each is replaced by a `words` placeholder. Degrees that a chord
 * symbol's text names already are dropped, and so is the part's name: there is one part, and a narrow page needs the width. Null where the text is not MusicXML.
 */
export function engravingCopy(musicXml: string): EngravingCopy | null {
  const root = readXml(musicXml);
  if (root === null || root.name !== 'score-partwise') return null;
  const diagrams: Setting[] = [];
  const copy = mapElements(root, (e) => {
    if (e.name === 'harp-pedals') {
      diagrams.push(settingOfPedals(e));
      return element('words', {}, { type: 'text', value: placeholder(diagrams.length - 1) });
    }
    if (e.name === 'harmony') return plainHarmony(e);
    if (e.name === 'part-name' || e.name === 'part-abbreviation') return { ...e, children: [] };
    return e;
  });
  return copy === null ? null : { xml: writeXml(copy), diagrams };
}
