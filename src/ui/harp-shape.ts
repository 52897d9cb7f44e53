/** The harp as the page draws it: 47 strings between a neck and a soundboard, C red, F black. */

import { TOP_STRING, stringLetter } from '../harp/strings';

export type StringColour = 'c' | 'f' | 'gut';

export interface DrawnString {
  readonly index: number;
  readonly x: number;
  readonly top: number;
  readonly bottom: number;
  readonly colour: StringColour;
}

/** C strings are red and F strings black or blue, so that a player finds the way (common practice). */
export function stringColour(index: number): StringColour {
  const letter = stringLetter(index);
  return letter === 'C' ? 'c' : letter === 'F' ? 'f' : 'gut';
}

/** The strings of a harp in a box: the longest at the left, shortening to the right as on the instrument. */
export function harpStrings(width: number, height: number, margin: number): DrawnString[] {
  return Array.from({ length: TOP_STRING + 1 }, (_, index) => {
    const t = index / TOP_STRING;
    const rest = 1 - t;
    const bottom = height * (0.97 - 0.58 * t);
    const length = height * (0.06 + 0.84 * rest * Math.sqrt(rest));
    return {
      index,
      x: Math.round((margin + (width - 2 * margin) * t) * 10) / 10,
      top: Math.round((bottom - length) * 10) / 10,
      bottom: Math.round(bottom * 10) / 10,
      colour: stringColour(index),
    };
  });
}
