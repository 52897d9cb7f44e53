/** A mark: what is printed at an instant and not at a note, as a `direction` or the like. */

import type { Element } from 'xast';
import type { Ticks } from '../../../base/units';
import { el, text } from './xml';

/** One mark: where it stands, its place among marks of one instant, and its element for an offset in divisions. */
export interface Mark {
  readonly onset: Ticks;
  readonly order: number;
  readonly element: (offset: number) => Element;
  /** It ends something: at a bar line it stands in the bar that ends there. */
  readonly closes?: boolean;
}

export interface DirectionShape {
  readonly placement: 'above' | 'below';
  readonly staff: 1 | 2;
  readonly types: readonly Element[];
  readonly sound?: Readonly<Record<string, string | number>>;
}

/** A `direction` mark. */
export const directionMark = (onset: Ticks, order: number, shape: DirectionShape): Mark => ({
  onset,
  order,
  element: (offset) =>
    el(
      'direction',
      { placement: shape.placement },
      ...shape.types.map((type) => el('direction-type', {}, type)),
      offset === 0 ? null : text('offset', offset),
      text('staff', shape.staff),
      shape.sound === undefined ? null : el('sound', { ...shape.sound }),
    ),
});
