/** Chord and hands for a score of strokes, so that it plays a stretch of a bar exactly. */

import type { HandChoice } from '../../../src/figures/hand-forms';
import { leftHands } from '../../../src/figures/left-hands';
import { rightHands } from '../../../src/figures/right-hands';
import { leftSpecOf, rightSpecOf } from '../../../src/figures/interpreter';
import type { FigureVariant } from '../../../src/figures/language';
import { clip, compassOf } from '../../../src/figures/register';
import { CONCERT_HARP } from '../../../src/harp/instrument';
import type { Progression } from '../../../src/harmony/types';
import type { Struck } from './bars';
import { type Offer, bitOf, chordsFor, scalesFor } from './chords';
import type { Entry } from './library';
import { demandsOf, knownNotes, plays } from './unify';

export interface Solution {
  readonly offer: Offer & { readonly key?: Progression['key'] };
  readonly left: HandChoice;
  readonly right: HandChoice;
}

/** Chords tried for one stretch, and hands kept of each. */
const MOST_CHORDS = 24;
const MOST_SOLUTIONS = 4;

const COMPASS = compassOf(CONCERT_HARP);
const handCache = new Map<string, readonly HandChoice[]>();
const variantNames = new Map<FigureVariant, number>();
const nameOf = (v: FigureVariant): number => {
  const known = variantNames.get(v) ?? variantNames.size;
  variantNames.set(v, known);
  return known;
};
function cached(key: string, make: () => readonly HandChoice[]): readonly HandChoice[] {
  let known = handCache.get(key);
  if (known === undefined) {
    if (handCache.size > 200_000) handCache.clear();
    known = make();
    handCache.set(key, known);
  }
  return known;
}

/** Notes that a hand of these forms may have; a line may be cut short by its window. */
const countsOf = (forms: readonly string[], notes: readonly number[]): number[] => [
  ...new Set(
    forms.flatMap((f) =>
      f === 'bass'
        ? [1]
        : f === 'octave'
          ? [2]
          : f === 'run' || f === 'scale'
            ? Array.from({ length: Math.max(...notes) }, (_, i) => i + 1)
            : notes,
    ),
  ),
];

const isScale = ({ left, right }: FigureVariant): boolean =>
  left.form.includes('scale') || right.form.includes('scale');

/** Ways to lay out chord and hands, a few at most; none where the figure cannot play this. */
export function solve(entry: Entry, struck: readonly Struck[], from: number): Solution[] {
  const { variant } = entry;
  const lows = demandsOf(entry.strokes, struck, from, 'L');
  const highs = demandsOf(entry.strokes, struck, from, 'R');
  const leftCounts = countsOf(variant.left.form, variant.left.notes);
  const leftKnown = leftCounts.flatMap((n) => {
    const known = knownNotes(lows, n);
    return known === null ? [] : [known];
  });
  if (leftKnown.length === 0) return [];
  const rightCounts = variant.right.form.some((f) => f === 'double' || f === 'interlocked')
    ? leftCounts
    : countsOf(variant.right.form, variant.right.notes);
  if (!rightCounts.some((n) => knownNotes(highs, n) !== null)) return [];

  const mask = struck.reduce((m, s) => m | (1 << bitOf(s.string, s.alter)), 0);
  const lowest = leftKnown[0]?.[0] ?? null;
  const bassOf = (string: number): number =>
    bitOf(string, (struck.find((s) => s.string === string) as Struck).alter);
  const bass = lowest === null ? null : bassOf(lowest);
  const offers = isScale(variant) ? scalesFor(mask, bass, MOST_CHORDS) : chordsFor(mask, bass, MOST_CHORDS);
  const out: Solution[] = [];
  const name = nameOf(variant);
  for (const offer of offers) {
    const found = solveChord(offer, variant, name, lowest, lows, highs);
    if (found !== null) out.push(found);
    if (out.length >= MOST_SOLUTIONS) break;
  }
  return out;
}

function solveChord(
  offer: Solution['offer'],
  variant: FigureVariant,
  name: number,
  lowest: number | null,
  lows: Parameters<typeof plays>[0],
  highs: Parameters<typeof plays>[0],
): Solution | null {
  const chord = `${name} ${offer.chord.text} ${offer.key?.fifths ?? ''}${offer.key?.mode ?? ''}`;
  for (const [w, window] of variant.left.windows.entries()) {
    const spec = leftSpecOf(variant, window);
    const lefts = cached(`${chord} ${w}`, () =>
      leftHands(offer.spelled, { ...spec, window: clip(spec.window, COMPASS) }),
    ).filter((h) => plays(lows, h));
    if (lefts.length === 0) continue;
    for (const left of lowest === null ? lefts.slice(0, 6) : lefts) {
      for (const [x, upper] of variant.right.windows.entries())
        for (const rootless of [false, true]) {
          const ask = rightSpecOf(variant, upper);
          const right = cached(`${chord} ${x}${rootless} ${left.midi.join()}`, () =>
            rightHands(offer.spelled, { ...ask, window: clip(ask.window, COMPASS) }, left, rootless),
          ).find((h) => plays(highs, h));
          if (right !== undefined) return { offer, left, right };
        }
    }
  }
  return null;
}
