/** An engraved drawing that needs no style sheet: strokes, weights and slants said in the drawing itself. */

import type { Element } from 'xast';
import { mapElements } from './xml-tree';

const STROKED = new Set(['path', 'rect', 'polygon', 'polyline', 'ellipse']);
const BOLD = ['tempo', 'fing', 'reh', 'pedal-move', 'ending'];
const SLANTED = ['dir', 'dynam', 'mNum'];

/** The same drawing in black; what a class would have styled is said by attributes. */
export function standalone(drawing: Element): Element {
  const done = mapElements(drawing, (e) => {
    const classes = String(e.attributes['class'] ?? '').split(' ');
    const has = (names: readonly string[]): boolean => names.some((name) => classes.includes(name));
    const style: Record<string, string> = {};
    if (STROKED.has(e.name) && e.attributes['stroke'] === undefined) style['stroke'] = 'currentColor';
    if (e.name === 'g' && has(BOLD)) style['font-weight'] = 'bold';
    if (e.name === 'g' && has(SLANTED) && !classes.includes('pedal-move')) style['font-style'] = 'italic';
    return { ...e, attributes: { ...style, ...e.attributes } };
  });
  return done ?? drawing;
}
