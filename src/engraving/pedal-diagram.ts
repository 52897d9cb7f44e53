/** The pedal diagram as lines: seven strokes above, on or below a line, a taller divider after the third. */

import { PEDALS, type Setting, positionOf } from '../harp/setting';
import type { Letter } from '../music/pitch';

export interface DiagramStroke {
  readonly x: number;
  readonly top: number;
  readonly bottom: number;
  /** The pedal, or null for the divider between the feet. */
  readonly letter: Letter | null;
}

export interface PedalDiagram {
  readonly width: number;
  readonly height: number;
  /** Height of the line: a pedal above it is flat, on it natural, below it sharp. */
  readonly line: number;
  /** From the player's left to right. */
  readonly strokes: readonly DiagramStroke[];
}

const STEP = 10;
const HEIGHT = 44;
const LINE = HEIGHT / 2;
/** Length of a pedal's stroke. */
const STROKE = 16;

/**
 * A setting as a diagram in a box of 90 × 44 units.
 * Flat stands above the line and touches it, natural crosses it, sharp hangs below (Salzedo's diagram; common practice).
 */
export function pedalDiagram(setting: Setting): PedalDiagram {
  const strokes: DiagramStroke[] = [];
  PEDALS.forEach((letter, i) => {
    if (i === 3) strokes.push({ x: STEP * 4, top: 2, bottom: HEIGHT - 2, letter: null });
    const middle = LINE + positionOf(setting, letter) * (STROKE / 2 + 1);
    const x = STEP * (i < 3 ? i + 1 : i + 2);
    strokes.push({ x, top: middle - STROKE / 2, bottom: middle + STROKE / 2, letter });
  });
  return { width: STEP * 9, height: HEIGHT, line: LINE, strokes };
}
