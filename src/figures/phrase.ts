/** Cells over time: which fill a stretch, which alternative each bar of a phrase takes. */

import type { Random } from '../base/random';
import type { Dynamic } from '../music/passage';
import type { Progression } from '../harmony/types';
import { type Arc, type Upbeat, dynamicAt, halved, isSlow } from './arc';
import type { Cell } from './cells';
import type { FigureLayer, FigureVariant } from './language';
import { type Segment, stepFor, wishedStep } from './segments';
import type { Voicing } from './voicing';

/** What is settled before the notes are made. */
export interface Setup {
  readonly variant: FigureVariant;
  readonly perBeat: number;
  readonly voicings: readonly Voicing[];
  readonly segments: readonly Segment[];
  readonly dynamic: Dynamic;
  readonly progression: Progression;
  /** How the phrases fill in or thin out; null or absent: they do not. */
  readonly arc?: Arc | null;
  /** Bars that close a phrase played again. */
  readonly second?: ReadonlySet<number>;
}

/** The dynamic of a bar. */
export const dynamicOf = ({ arc, dynamic, progression }: Setup, bar: number): Dynamic =>
  dynamicAt(arc ?? null, dynamic, bar, progression.barCount);

/** Whether lengths of two and more add up to `steps`. */
function adds(lengths: readonly number[], steps: number): boolean {
  return steps === 0 || lengths.some((n) => n > 1 && n <= steps && adds(lengths, steps - n));
}

/** A cell keeps the beat where it fills whole beats or an even part of one; else it is an accidental cross-rhythm. */
const keepsBeat = (length: number, beatSteps: number): boolean =>
  beatSteps <= 1 || length % beatSteps === 0 || beatSteps % length === 0;

/**
 * Cells that fill `steps`, of which `beatSteps` make a felt beat. Cells that keep the beat go first: the longest of
 * three steps or more that divides the steps (longer ones and a rest of shorter where they reach twice as far), else
 * the longest after which others still fill the rest, else the longest that fits; a single longer cell is cut.
 */
export function fillSteps(
  cells: readonly Cell[],
  steps: number,
  beatSteps = 1,
): { readonly cell: Cell; readonly first: boolean }[] {
  const byLength = [...cells].sort((a, b) => b.length - a.length);
  const onBeat = byLength.filter((c) => keepsBeat(c.length, beatSteps));
  const next = (list: readonly Cell[], rest: number): Cell | undefined => {
    const lengths = list.map((c) => c.length);
    return list.find((c) => c.length <= rest && c.length > 1 && adds(lengths, rest - c.length));
  };
  const divides = onBeat.find((c) => c.length > 2 && steps % c.length === 0);
  const reach = beatSteps > 1 ? (next(onBeat, steps)?.length ?? 0) : 0;
  const even = divides !== undefined && reach >= 2 * divides.length ? undefined : divides;
  const out: { cell: Cell; first: boolean }[] = [];
  let left = steps;
  while (left > 0) {
    const rest = left;
    const cell =
      even ??
      next(onBeat, rest) ??
      next(byLength, rest) ??
      byLength.find((c) => c.length <= rest) ??
      (byLength.at(-1) as Cell);
    const used = cell.length > left ? cell.slice(0, left) : cell;
    out.push({ cell: used, first: out.length === 0 });
    left -= used.length;
  }
  return out;
}

/** The step of a layer on a stretch of a chord, in ticks. */
export const layerStep = (layer: FigureLayer, setup: Setup, s: Segment): number =>
  stepFor(
    s.duration,
    layer.every === 'chord'
      ? Infinity
      : wishedStep(
          setup.progression,
          layer.every === 'beat'
            ? 1
            : layer.every !== 'step'
              ? layer.every
              : isSlow(setup.arc ?? null, s.bar)
                ? halved(setup.perBeat, setup.progression.metre)
                : setup.perBeat,
        ),
  );

/** Which alternative the four bars of a phrase take: a phrase answers, varies or turns at its end. */
const PHRASES: readonly (readonly (0 | 1)[])[] = [
  [0, 0, 0, 1],
  [0, 1, 0, 1],
  [0, 0, 1, 0],
  [0, 0, 1, 1],
];

/** What a draft draws once: its alternatives and how its phrases go. */
export interface Shape {
  readonly phrase: readonly (0 | 1)[];
  /** Cells shorter than the stretch answer one another inside it. */
  readonly answering: boolean;
  readonly picks: readonly FigureLayer['play'][];
  /** How the phrases after the first are led into; absent: not at all. */
  readonly upbeat?: Upbeat;
}

/** The alternatives and the phrase, drawn once for a draft. */
export function drawShape({ variant, arc }: Setup, random: Random): Shape {
  const steady = variant.steady;
  const phrase = random.pick(PHRASES);
  return {
    picks: variant.layers.map((layer) => random.shuffle(layer.play)),
    // Where a phrase fills in or thins out, that is its change.
    phrase: steady || (arc ?? null) !== null ? [0, 0, 0, 0] : phrase,
    answering: random.chance(1, 2) && !steady,
    ...(variant.upbeat.length > 0 && random.chance(1, 2) ? { upbeat: random.pick(variant.upbeat) } : {}),
  };
}

/**
 * The cells of a layer on a stretch, with every other one taken from the second alternative where they answer;
 * `second`: the bar closes a phrase for the second time, otherwise than the first.
 */
export function cellsFor(
  options: FigureLayer['play'],
  shape: Shape,
  bar: number,
  steps: number,
  beatSteps: number,
  second = false,
): ReturnType<typeof fillSteps> {
  const usual = shape.phrase[bar % 4] as 0 | 1;
  const here = second ? 1 - usual : usual;
  const first = options[0] as Cell[];
  const [a, b] = here === 0 ? [first, options[1] ?? first] : [options[1] ?? first, first];
  const filled = fillSteps(a, steps, beatSteps);
  if (!shape.answering) return filled;
  return filled.map((f, k) => {
    const answer = k % 2 === 1 ? b.find((c) => c.length === f.cell.length) : undefined;
    return answer === undefined ? f : { ...f, cell: answer };
  });
}
