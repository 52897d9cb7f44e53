/** The copy of a bar that the engraver is given: what it would drop replaced by words that can be found again. */

import type { Element, ElementContent } from 'xast';
import { type Setting, NATURAL_SETTING, type Position, withPosition } from '../harp/setting';
import { LETTERS, type Letter } from '../music/pitch';
import { DAMPING } from './damping';
import { childOf, element, elementsOf, mapElements, textIn } from './xml-tree';

/** Placeholder of a setting's diagram: capitals and digits, on three lines so that room for the drawing is kept free. */
export const placeholder = (setting: Setting): string => Array(3).fill(`HARPPED${setting}`).join('\n');
const PLACEHOLDER = /^HARPPED(\d+)(?:\s*HARPPED\1)*$/;

/** Of which setting a word keeps the diagram's place, or null. */
export function placeholderSetting(text: string): Setting | null {
  const match = PLACEHOLDER.exec(text.trim());
  return match === null ? null : (Number(match[1]) as Setting);
}

/** A bar as the engraver gets it, and what of it is drawn in afterwards. */
export interface CopiedBar {
  readonly copy: Element;
  /** Ids of the notes, and of those that ring on. */
  readonly notes: readonly string[];
  readonly rings: readonly string[];
  /** Ids of those that are damped at once. */
  readonly damped: readonly string[];
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

/** Stands for the empty one of two lines of pedal words. */
const BLANK = '\u00a0';
/** Whether words come from a line of pedal words: the right foot's first, the left foot's second, one may be blank. */
export const isLineOfPedals = (text: string): boolean => text.includes(BLANK);

const typesOf = (direction: Element): Element[] =>
  elementsOf(direction)
    .filter((child) => child.name === 'direction-type')
    .flatMap(elementsOf);

/** The words of a direction that belongs to two lines of pedals, and whose foot they are for; else null. */
function lineWord(e: Element): { words: Element; left: boolean } | null {
  const [words, ...others] = e.name === 'direction' ? typesOf(e) : [];
  if (words?.name !== 'words' || others.length > 0 || words.attributes['default-y'] === undefined)
    return null;
  const text = textIn(words);
  return /^[A-G][♭♮♯]$/u.test(text) ? { words, left: 'DCB'.includes(text[0] ?? '') } : null;
}

/** Pedal words in two lines: each gets both lines, one blank, so that room is kept; those of an instant come together. */
function linedUp(children: readonly ElementContent[]): ElementContent[] {
  const out: ElementContent[] = [];
  const kept = children.filter((child) => child.type === 'element');
  const offset = (e: Element): string => textIn(childOf(e, 'offset') ?? element('offset', {}));
  for (let i = 0; i < kept.length; i++) {
    const here = kept[i] as Element;
    const word = lineWord(here);
    if (word === null) {
      out.push(here);
      continue;
    }
    const next = kept[i + 1] as Element | undefined;
    const other = next === undefined ? null : lineWord(next);
    const both = other !== null && other.left && !word.left && offset(next as Element) === offset(here);
    if (both) i++;
    const [right, left] = word.left
      ? [BLANK, textIn(word.words)]
      : [textIn(word.words), both ? textIn(other.words) : BLANK];
    // A blank after the second keeps the pair known as one.
    const words = element('words', {}, { type: 'text', value: `${right}\n${left}${both ? BLANK : ''}` });
    out.push(mapElements(here, (e) => (e.name === 'words' ? words : e)) ?? here);
  }
  return out;
}

/** Whether a bar holds a beam over both staves: what stands between the staves would run into it. */
function hasCrossBeam(measure: Element): boolean {
  let staff = '';
  for (const note of elementsOf(measure)) {
    const beam = note.name === 'note' ? childOf(note, 'beam') : undefined;
    if (beam === undefined) continue;
    const here = textIn(childOf(note, 'staff') ?? note);
    if (textIn(beam) !== 'begin' && here !== staff) return true;
    staff = here;
  }
  return false;
}

/** Dynamics and hairpins between the staves, set under them instead. */
function underStaves(direction: Element): Element {
  const between =
    direction.name === 'direction' &&
    direction.attributes['placement'] === 'below' &&
    typesOf(direction).some(({ name }) => name === 'dynamics' || name === 'wedge');
  if (!between) return direction;
  return (
    mapElements(direction, (e) =>
      e.name === 'staff' ? element('staff', {}, { type: 'text', value: '2' }) : e,
    ) ?? direction
  );
}

function plainMeasure(measure: Element): Element {
  const children = linedUp(measure.children);
  if (!hasCrossBeam(measure)) return { ...measure, children };
  return { ...measure, children: children.map((c) => (c.type === 'element' ? underStaves(c) : c)) };
}

/** `other-technical` that says étouffé, in the standard's name for the sign or in words. */
const isDamped = (e: Element): boolean =>
  e.name === 'other-technical' && (e.attributes['smufl'] === 'pluckedDamp' || textIn(e).trim() === 'étouffé');

/** The part's name is dropped: there is one part, and a narrow page needs the width. */
export const plainHead = (root: Element): Element | null =>
  mapElements(root, (e) =>
    e.name === 'part-name' || e.name === 'part-abbreviation' ? { ...e, children: [] } : e,
  );

/**
 * What the engraver (verovio 6.3) drops from a bar is replaced or noted: `harp-pedals` by a `words` placeholder, damping
 * by its sign, ties into the air by the notes that carry them. Degrees that a chord symbol's text names already go.
 */
export function copyBar(measure: Element): CopiedBar {
  const notes: string[] = [];
  const rings: string[] = [];
  const damped: string[] = [];
  /** Set by what is met in a note, before the note itself. */
  let damping = false;
  const copy = mapElements(measure, (e) => {
    if (isDamped(e)) {
      damping = true;
      return null;
    }
    if (e.name === 'technical' && e.children.every((child) => child.type !== 'element')) return null;
    if (e.name === 'harp-pedals') {
      return element('words', {}, { type: 'text', value: placeholder(settingOfPedals(e)) });
    }
    const sign = e.name === 'damp' || e.name === 'damp-all' ? DAMPING[e.name] : null;
    if (sign !== null) return element('words', {}, { type: 'text', value: sign });
    if (e.name === 'direction') {
      // Notes for other programs, which the engraver would leave as an empty direction.
      const children = e.children.filter(
        (c) => c.type !== 'element' || elementsOf(c)[0]?.name !== 'other-direction',
      );
      return { ...e, children };
    }
    if (e.name === 'harmony') return plainHarmony(e);
    if (e.name === 'note') {
      const id = String(e.attributes['id'] ?? '');
      if (id !== '') notes.push(id);
      if (damping) damped.push(id);
      damping = false;
      const ringing = elementsOf(e).some((n) =>
        elementsOf(n).some((tie) => tie.attributes['type'] === 'let-ring'),
      );
      if (!ringing) return e;
      rings.push(id);
      return mapElements(e, (tie) => (tie.attributes['type'] === 'let-ring' ? null : tie));
    }
    if (e.name === 'measure') return plainMeasure(e);
    return e;
  });
  return { copy: copy ?? measure, notes, rings, damped };
}
