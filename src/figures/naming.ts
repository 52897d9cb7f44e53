/** Names for the list: what tells a draft from others of its variant. */

import { stringOf } from '../harp/strings';
import { beatTicks, isCompound } from '../music/metre';
import type { Pitch } from '../music/pitch';
import type { Cell } from './cells';
import type { FigureLayer } from './language';
import { type Setup, type Shape, fillSteps, layerStep } from './phrase';
import { stringNamed } from './register';
import { type Segment, stepFor, wishedStep } from './segments';
import type { Voicing } from './voicing';

const PACE_NAMES: Readonly<Record<number, string>> = {
  0: 'once a chord',
  0.5: 'every other beat',
  1: 'on the beat',
  2: 'eighths',
  3: 'triplets',
  4: 'sixteenths',
  6: 'sextuplets',
  8: 'thirty-seconds',
};
const COMPOUND_NAMES: Readonly<Record<number, string>> = {
  ...PACE_NAMES,
  3: 'eighths',
  6: 'sixteenths',
  12: 'thirty-seconds',
};

/** The way of the first cell that the moving layer plays: null for chords and for cells of fewer than three notes. */
function contourOf(setup: Setup, shape: Shape): string | null {
  const s = setup.segments[0] as Segment;
  const beat = beatTicks(setup.progression.metre);
  const ways = setup.variant.layers.map((layer, l) => {
    const step = layerStep(layer, { ...setup, arc: null }, s);
    const options = shape.picks[l] as FigureLayer['play'];
    const cell = fillSteps(options[0] as Cell[], s.duration / step, beat / step)[0]?.cell ?? [];
    const heights = cell.flatMap((x) => {
      if (x === 'rest' || x === 'hold') return [];
      const index = x.notes[0]?.index;
      return typeof index === 'number' && x.notes.length === 1
        ? [x.notes[0]?.hand === 'R' ? 9 + index : index]
        : [];
    });
    if (heights.length < 3) return null;
    const moves = heights.slice(1).map((h, i) => Math.sign(h - (heights[i] as number)));
    const turns = moves.filter((m, i) => i > 0 && m !== moves[i - 1]).length;
    const up = (moves[0] as number) > 0;
    return turns === 0
      ? up
        ? 'rising'
        : 'falling'
      : turns > 1
        ? 'broken'
        : up
          ? 'up and back'
          : 'down and back';
  });
  return ways.find((w) => w !== null) ?? null;
}

/** Where the top of the right hand lies on the whole; the middle goes without saying. */
function registerOf(voicings: readonly Voicing[]): string | null {
  const tops = voicings.map((v) => stringOf(v.right.at(-1) as Pitch));
  const mean = tops.reduce((a, b) => a + b, 0) / tops.length;
  return mean < stringNamed('B4') ? 'low register' : mean >= stringNamed('G5') ? 'high register' : null;
}

/** 'single notes, rising, sixteenths, high': what tells this draft from others of its variant. */
export function variantName(setup: Setup, shape: Shape): string {
  const { variant, perBeat, progression, voicings } = setup;
  const names = isCompound(progression.metre) ? COMPOUND_NAMES : PACE_NAMES;
  const contour = variant.contour ? contourOf(setup, shape) : null;
  const first = setup.segments[0] as Segment;
  const whole = perBeat < 1 && stepFor(first.duration, wishedStep(progression, perBeat)) === first.duration;
  const pace = whole ? PACE_NAMES[0] : (names[perBeat] ?? String(perBeat));
  const arc = setup.arc === 'filling' ? 'filling in' : setup.arc === 'thinning' ? 'thinning out' : null;
  return [variant.name, contour, pace, arc, registerOf(voicings)].filter((word) => word !== null).join(', ');
}
