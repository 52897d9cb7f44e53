/** Damping signs, drawn in outlines of our own: the music fonts' standard has them, text faces do not. */

import type { Element } from 'xast';
import { element } from './xml-tree';

/** pluckedDamp and pluckedDampAll (W3C SMuFL U+E638, U+E639): in the engraver's copy they stand in for what it drops. */
export const DAMPING = { damp: '\ue638', 'damp-all': '\ue639' } as const;

export const isDamping = (text: string): boolean => text === DAMPING.damp || text === DAMPING['damp-all'];

/** Sizes in the engraver's units, of which a staff space has 180. */
const SIGN = { cross: 190, ring: 120, outer: 190, stroke: 34 };

const ring = (x: number, y: number, r: number): Element =>
  element('ellipse', {
    cx: String(x),
    cy: String(y),
    rx: String(r),
    ry: String(r),
    fill: 'none',
    'stroke-width': String(SIGN.stroke),
  });

/** A cross in a ring round (x, y); for all strings a second ring round it. */
export function dampingSign(x: number, y: number, all: boolean): Element {
  const { cross, stroke } = SIGN;
  const lines = `M${x - cross} ${y}H${x + cross}M${x} ${y - cross}V${y + cross}`;
  return element(
    'g',
    {
      class: all ? 'damp-sign E639' : 'damp-sign E638',
      role: 'img',
      'aria-label': all ? 'damp all' : 'damp',
    },
    element('path', { d: lines, fill: 'none', 'stroke-width': String(stroke) }),
    ring(x, y, SIGN.ring),
    ...(all ? [ring(x, y, SIGN.outer)] : []),
  );
}

/** Half of the sign's width and height. */
export const SIGN_REACH = SIGN.outer + SIGN.stroke / 2;
