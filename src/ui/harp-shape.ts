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

export interface HarpShape {
  readonly width: number;
  readonly height: number;
  readonly strings: readonly DrawnString[];
  /** SVG path data of the wood. */
  readonly neck: string;
  readonly column: string;
  readonly body: string;
  readonly crown: { readonly x: number; readonly y: number; readonly r: number };
}

/** C strings are red and F strings black or blue, so that a player finds the way (common practice). */
export function stringColour(index: number): StringColour {
  const letter = stringLetter(index);
  return letter === 'C' ? 'c' : letter === 'F' ? 'f' : 'gut';
}

const round = (n: number): number => Math.round(n * 10) / 10;

/** Height of the neck over the strings at a share of the way from bass to treble: down to a dip, up to the shoulder. */
function neckAt(t: number): number {
  const points = [0.1, 0.2, 0.275, 0.285, 0.2];
  // Catmull-Rom through the five points, ends repeated.
  const at = (i: number): number => points[Math.min(Math.max(i, 0), points.length - 1)] ?? 0;
  const i = Math.min(Math.floor(t * (points.length - 1)), points.length - 2);
  const u = t * (points.length - 1) - i;
  const [a, b, c, d] = [at(i - 1), at(i), at(i + 1), at(i + 2)];
  return (
    0.5 * (2 * b + (c - a) * u + (2 * a - 5 * b + 4 * c - d) * u * u + (3 * b - a - 3 * c + d) * u * u * u)
  );
}

/** A concert harp seen from its left side, in a box of the given size. */
export function harpShape(width: number, height: number): HarpShape {
  const left = width * 0.12;
  const right = width * 0.9;
  const board = (t: number): number => height * (0.95 - 0.69 * t);
  const strings = Array.from({ length: TOP_STRING + 1 }, (_, index): DrawnString => {
    const t = index / TOP_STRING;
    return {
      index,
      x: round(left + (right - left) * t),
      top: round(height * neckAt(t)),
      bottom: round(board(t)),
      colour: stringColour(index),
    };
  });
  const columnX = round(width * 0.055);
  const thick = height * 0.05;
  const along = strings.filter((_, i) => i % 2 === 0);
  const under = along.map((s) => `${s.x} ${s.top}`);
  const over = [...along]
    .reverse()
    .map((s, i) => `${s.x} ${round(s.top - thick * (0.75 + 0.25 * (i / 23)))}`);
  const end = round(width * 0.955);
  return {
    width,
    height,
    strings,
    neck: `M${columnX} ${round(height * 0.075)}L${under.join('L')}L${end} ${round(height * 0.25)}L${end} ${round(height * 0.19)}L${over.join('L')}L${columnX} ${round(height * 0.035)}Z`,
    column: `M${columnX - 4} ${round(height * 0.06)}L${columnX + 4} ${round(height * 0.06)}L${columnX + 3} ${round(height * 0.97)}L${columnX - 3} ${round(height * 0.97)}Z`,
    body:
      `M${round(left - 6)} ${round(height * 0.965)}L${end} ${round(height * 0.235)}` +
      `C${round(width * 0.94)} ${round(height * 0.38)} ${round(width * 0.62)} ${round(height * 0.7)} ${round(width * 0.28)} ${round(height * 0.985)}` +
      `L${columnX - 8} ${round(height * 0.985)}L${columnX - 8} ${round(height * 0.95)}L${round(left - 2)} ${round(height * 0.95)}Z`,
    crown: { x: columnX, y: round(height * 0.045), r: round(height * 0.03) },
  };
}
