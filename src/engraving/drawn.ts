/** What the engraver leaves out, drawn into its SVG: open ties, 'gliss.', damping signs, rests of the lower staff. */

import type { Element } from 'xast';
import { dampingSign } from './damping';
import { element, elementsOf, mapElements } from './xml-tree';

const classesOf = (e: Element): readonly string[] => String(e.attributes['class'] ?? '').split(' ');
const AT = /^translate\((-?[\d.]+), (-?[\d.]+)\)/;

/** Left edge and middle line of a note's head. */
function headOf(note: Element): { x: number; y: number } | null {
  const head = elementsOf(note).find((child) => classesOf(child).includes('notehead'));
  const use = head === undefined ? undefined : elementsOf(head)[0];
  const at = AT.exec(String(use?.attributes['transform'] ?? ''));
  return at === null ? null : { x: Number(at[1]), y: Number(at[2]) };
}

/** Room from the left edge of a head to the start of its tie, and the size of the tie. A staff space is 180. */
const TIE = { from: 330, length: 420, height: 130, thick: 42 };

/** A short tie that leads nowhere, over or under its head. */
function openTie({ x, y }: { x: number; y: number }, up: boolean): Element {
  const sign = up ? -1 : 1;
  const [left, base] = [x + TIE.from, y + sign * 60];
  const bow = (height: number): string => `${left + TIE.length / 2} ${base + sign * 2 * height}`;
  return element('path', {
    class: 'let-ring',
    d: `M${left} ${base}Q${bow(TIE.height / 2)} ${left + TIE.length} ${base}Q${bow(TIE.height / 2 + TIE.thick / 2)} ${left} ${base}z`,
    'stroke-width': '12',
  });
}

/** The voices of a staff that have notes, the upper first. */
const voicesOf = (staff: Element): Element[] =>
  elementsOf(staff).filter((layer) => {
    let notes = 0;
    mapElements(layer, (e) => {
      if (classesOf(e).includes('notehead')) notes++;
      return e;
    });
    return classesOf(layer).includes('layer') && notes > 0;
  });

/**
 * Ties into the air at the notes of `rings` on a staff. Alone on it a note's bows away from its stem, and in a chord
 * those of the upper half bow up; of two voices each one's bow outwards, as its stems point (common practice).
 */
export function withRings(staff: Element, rings: ReadonlySet<string>): Element {
  if (rings.size === 0 || !classesOf(staff).includes('staff')) return staff;
  const voices = voicesOf(staff);
  const children = staff.children.map((child) => {
    if (child.type !== 'element') return child;
    const voice = voices.indexOf(child);
    const outwards = voices.length > 1 && voice >= 0 ? (voice % 2 === 0 ? 'up' : 'down') : null;
    return mapElements(child, (e) => ringing(e, rings, outwards)) ?? child;
  });
  return { ...staff, children };
}

/** `outwards` is where a voice's ties bow where it is one of two. */
function ringing(e: Element, rings: ReadonlySet<string>, outwards: 'up' | 'down' | null): Element {
  const isRinging = (note: Element): boolean => rings.has(String(note.attributes['id'] ?? ''));
  const tied = (note: Element, up: boolean): Element => {
    const head = headOf(note);
    return head === null ? note : { ...note, children: [...note.children, openTie(head, up)] };
  };
  const classes = classesOf(e);
  if (classes.includes('chord')) {
    const notes = elementsOf(e).filter(
      (child) => classesOf(child).includes('note') && headOf(child) !== null,
    );
    const heights = notes.map((note) => headOf(note)?.y ?? 0);
    const middle = (Math.min(...heights) + Math.max(...heights)) / 2;
    const above = (note: Element): boolean =>
      outwards !== null
        ? (stemOf(e) ?? outwards) === 'up'
        : (headOf(note)?.y ?? 0) < middle || notes.length === 1;
    return {
      ...e,
      children: e.children.map((child) =>
        child.type === 'element' && notes.includes(child) && isRinging(child)
          ? tied(withoutTie(child), above(child))
          : child,
      ),
    };
  }
  if (!classes.includes('note') || !isRinging(e)) return e;
  return tied(e, outwards === null ? stemOf(e) !== 'up' : (stemOf(e) ?? outwards) === 'up');
}

/** A note of a chord is met before its chord: its own tie goes, the chord knows better. */
const withoutTie = (note: Element): Element => ({
  ...note,
  children: note.children.filter((c) => c.type !== 'element' || !classesOf(c).includes('let-ring')),
});

/** Where the stem of a note or chord points; null without one. */
function stemOf(note: Element): 'up' | 'down' | null {
  const stem = elementsOf(note).find((child) => classesOf(child).includes('stem'));
  const line = stem === undefined ? undefined : elementsOf(stem).find((child) => child.name === 'path');
  const ends = /^M\S+ (-?[\d.]+) L\S+ (-?[\d.]+)/.exec(String(line?.attributes['d'] ?? ''));
  return ends === null ? null : Number(ends[2]) > Number(ends[1]) ? 'down' : 'up';
}

/** 'gliss.' along the wavy line; the engraver sets the line in a turned group of pieces. */
export function withGlissandoWord(e: Element): Element {
  const classes = classesOf(e);
  if (!classes.includes('gliss') || !classes.includes('glissando')) return e;
  const places = elementsOf(e).flatMap((use) => {
    const at = AT.exec(String(use.attributes['transform'] ?? ''));
    return at === null ? [] : [{ x: Number(at[1]), y: Number(at[2]) }];
  });
  const [first, last] = [places[0], places.at(-1)];
  if (first === undefined || last === undefined) return e;
  const word = element(
    'text',
    {
      class: 'gliss-word',
      x: String(Math.round((first.x + last.x) / 2)),
      y: String(Math.round(first.y - 170)),
      'text-anchor': 'middle',
      'font-size': '330px',
      'font-style': 'italic',
    },
    { type: 'text', value: 'gliss.' },
  );
  return { ...e, children: [...e.children, word] };
}

/** Room between what is highest of a note and the middle of the sign over it. */
const OVER = 290;

/** Where the head and stem of a note, or of a chord's notes, reach highest, and where its first head stands. */
function topOfNotes(e: Element): { x: number; y: number } | null {
  let top: { x: number; y: number } | null = null;
  const reach = (x: number | null, y: number): void => {
    top = { x: top?.x ?? x ?? 0, y: Math.min(top?.y ?? y, y) };
  };
  mapElements(e, (inner) => {
    const head = classesOf(inner).includes('note') ? headOf(inner) : null;
    if (head !== null) reach(head.x, head.y);
    return inner;
  });
  mapElements(e, (inner) => {
    if (!classesOf(inner).includes('stem')) return inner;
    const line = elementsOf(inner).find((child) => child.name === 'path');
    const ends = /^M\S+ (-?[\d.]+) L\S+ (-?[\d.]+)/.exec(String(line?.attributes['d'] ?? ''));
    if (ends !== null) reach(null, Math.min(Number(ends[1]), Number(ends[2])));
    return inner;
  });
  return top;
}

/** Damping signs over the notes and chords of `damped`, clear of their staff. */
export function withDamping(staff: Element, damped: ReadonlySet<string>): Element {
  if (damped.size === 0 || !classesOf(staff).includes('staff')) return staff;
  const line = topOf(staff);
  const signs: Element[] = [];
  const struck = (e: Element): boolean =>
    elementsOf(e).some((inner) => damped.has(String(inner.attributes['id'] ?? '')) || struck(inner));
  const visit = (e: Element): void => {
    const classes = classesOf(e);
    const chord = classes.includes('chord') && struck(e);
    const note = classes.includes('note') && damped.has(String(e.attributes['id'] ?? ''));
    if (!chord && !note) {
      elementsOf(e).forEach(visit);
      return;
    }
    const top = topOfNotes(e);
    if (top !== null) signs.push(dampingSign(top.x + 115, Math.min(top.y, line ?? top.y) - OVER, false));
  };
  visit(staff);
  return signs.length === 0 ? staff : { ...staff, children: [...staff.children, ...signs] };
}

const staves = (measure: Element): Element[] =>
  elementsOf(measure).filter((child) => classesOf(child).includes('staff'));

/** The top line of a staff. */
function topOf(staff: Element): number | null {
  const line = elementsOf(staff).find((child) => child.name === 'path');
  const at = /^M\S+ (-?[\d.]+)/.exec(String(line?.attributes['d'] ?? ''));
  return at === null ? null : Number(at[1]);
}

/** Gathered rests stand in both staves, their number over the upper: the engraver draws them in the first alone. */
export function withLowerRests(e: Element): Element {
  if (!classesOf(e).includes('measure')) return e;
  const [upper, lower] = staves(e);
  if (upper === undefined || lower === undefined) return e;
  const rests: Element[] = [];
  mapElements(upper, (inner) => {
    if (classesOf(inner).includes('multiRest')) rests.push(inner);
    return inner;
  });
  const [from, to] = [topOf(upper), topOf(lower)];
  if (rests.length === 0 || from === null || to === null) return e;
  const copies = rests.map((rest) => {
    const children = elementsOf(rest).filter((child) => !classesOf(child).includes('multiRestNum'));
    return { ...element('g', { class: 'multiRest', transform: `translate(0, ${to - from})` }), children };
  });
  return {
    ...e,
    children: e.children.map((child) =>
      child === lower ? { ...lower, children: [...lower.children, ...copies] } : child,
    ),
  };
}
