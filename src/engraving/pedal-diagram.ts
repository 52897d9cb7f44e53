/** The pedal diagram from the standard's four glyphs: seven pedals above, on or below a line, a taller divider. */

import { PEDALS, type Position, type Setting, positionOf } from '../harp/setting';
import type { Letter } from '../music/pitch';

export interface DiagramStroke {
  readonly x: number;
  readonly top: number;
  readonly bottom: number;
  /** The pedal, or null for the divider between the feet. */
  readonly letter: Letter | null;
}

export interface DiagramGlyph {
  /** Code point in the music fonts' standard (W3C SMuFL, harp techniques). */
  readonly code: 0xe680 | 0xe681 | 0xe682 | 0xe683;
  readonly x: number;
  /** SVG path at x, filled. */
  readonly d: string;
}

export interface PedalDiagram {
  readonly width: number;
  readonly height: number;
  /** Height of the line: a pedal above it is flat, on it natural, below it sharp. */
  readonly line: number;
  /** From the player's left to right. */
  readonly strokes: readonly DiagramStroke[];
  /** The same as glyphs, which carry the line with them. */
  readonly glyphs: readonly DiagramGlyph[];
}

/** Each glyph is so wide; its stroke stands in its middle. */
const STEP = 10;
const HEIGHT = 44;
const LINE = HEIGHT / 2;
/** Half the length of a pedal's stroke, and how far a raised or lowered one is moved from the line. */
const HALF = 8;
const MOVED = HALF + 1;
const THICK = { line: 1.4, pedal: 3, divider: 1.4 };

/**
 * harpPedalRaised, harpPedalCentered, harpPedalLowered and harpPedalDivider by their code points, as strokes: flat
 * stands above the line and touches it, natural crosses it, sharp hangs below (Salzedo's diagram; common practice).
 */
const STROKES = {
  0xe680: { top: LINE - MOVED - HALF, bottom: LINE - MOVED + HALF, thick: THICK.pedal },
  0xe681: { top: LINE - HALF, bottom: LINE + HALF, thick: THICK.pedal },
  0xe682: { top: LINE + MOVED - HALF, bottom: LINE + MOVED + HALF, thick: THICK.pedal },
  0xe683: { top: 2, bottom: HEIGHT - 2, thick: THICK.divider },
} as const;
const CODES: Readonly<Record<Position, 0xe680 | 0xe681 | 0xe682>> = {
  '-1': 0xe680,
  '0': 0xe681,
  '1': 0xe682,
};

const box = (left: number, top: number, width: number, height: number): string =>
  `M${left} ${top}h${width}v${height}h${-width}z`;

function glyph(code: DiagramGlyph['code'], place: number): DiagramGlyph & DiagramStroke {
  const { top, bottom, thick } = STROKES[code];
  const x = STEP * (place + 1);
  const line = box(x - STEP / 2, LINE - THICK.line / 2, STEP, THICK.line);
  return { code, x, top, bottom, letter: null, d: line + box(x - thick / 2, top, thick, bottom - top) };
}

/** A setting as a diagram in a box of 90 × 44 units. */
export function pedalDiagram(setting: Setting): PedalDiagram {
  const pedal = (letter: Letter, place: number) => ({
    ...glyph(CODES[positionOf(setting, letter)], place),
    letter,
  });
  const all = [
    ...PEDALS.slice(0, 3).map((letter, i) => pedal(letter, i)),
    glyph(0xe683, 3),
    ...PEDALS.slice(3).map((letter, i) => pedal(letter, i + 4)),
  ];
  return {
    width: STEP * 9,
    height: HEIGHT,
    line: LINE,
    strokes: all.map(({ x, top, bottom, letter }) => ({ x, top, bottom, letter })),
    glyphs: all.map(({ code, x, d }) => ({ code, x, d })),
  };
}
