/** What the figures may play on a stretch: every choice of variant, pace and cells as strokes in time. */

import { FIGURES } from '../../../src/figures/families';
import { type Stroke, isStroke } from '../../../src/figures/cells';
import type { FigureVariant } from '../../../src/figures/language';
import { paces } from '../../../src/figures/interpreter';
import type { Setup, Shape } from '../../../src/figures/phrase';
import { endingSteps, endingsFor, layerSteps } from '../../../src/figures/play';
import type { Segment } from '../../../src/figures/segments';
import { type Metre, isCompound } from '../../../src/music/metre';
import type { Hand } from '../../../src/music/passage';

export interface TimedStroke {
  readonly onset: number;
  readonly stroke: Stroke;
}

/** One way to play: bounded by what the figure's document writes. */
export interface Way {
  readonly id: number;
  readonly family: string;
  readonly variant: FigureVariant;
  readonly perBeat: number;
  /** `ending` set: closes the last chord. Else the cells of each layer and whether they answer one another. */
  readonly shape: Shape | null;
}

/** Cells drawn for one layer: a main alternative and the one that answers it. */
type Pair = readonly [number, number];

function pairsOf(count: number): Pair[] {
  const out: Pair[] = [];
  for (let a = 0; a < count; a++) {
    out.push([a, a]);
    if (count <= 12) for (let b = 0; b < count; b++) if (b !== a) out.push([a, b]);
  }
  return out;
}

/** Choices of cells for a variant, a thousand at most. */
function shapesOf(variant: FigureVariant): Shape[] {
  let products: Pair[][] = [[]];
  for (const layer of variant.layers) {
    const pairs = pairsOf(layer.play.length);
    products = products.flatMap((p) => pairs.map((pair) => [...p, pair])).slice(0, 1000);
  }
  return products.flatMap((pairs): Shape[] => {
    const answering = pairs.some(([a, b]) => a !== b);
    if (answering && variant.steady) return [];
    const picks = variant.layers.map((layer, l) => {
      const [a, b] = pairs[l] as Pair;
      return a === b ? [layer.play[a] as (typeof layer.play)[0]] : [layer.play[a], layer.play[b]];
    }) as Shape['picks'];
    return [{ phrase: [0, 0, 0, 0], answering, picks }];
  });
}

/** All ways of all figures in simple or compound metres. */
export function waysFor(compound: boolean): Way[] {
  let id = 0;
  return FIGURES.flatMap((figure) =>
    figure.variants.flatMap((variant) => {
      const shapes = [...shapesOf(variant), null];
      return paces(variant.perBeat, compound).flatMap((perBeat) =>
        shapes.map((shape) => ({ id: id++, family: figure.id, variant, perBeat, shape })),
      );
    }),
  );
}

/** A setup that knows only what times the strokes. */
export const timingOf = (way: Way, metre: Metre): Setup =>
  ({ variant: way.variant, perBeat: way.perBeat, progression: { metre } }) as unknown as Setup;

const stretch = (duration: number, last: boolean): Segment =>
  ({ onset: 0, duration, bar: 0, last, fresh: true }) as unknown as Segment;

/** The strokes of a way on a stretch of its own; several for endings, one each. */
function played(way: Way, metre: Metre, duration: number): TimedStroke[][] {
  const setup = timingOf(way, metre);
  if (way.shape === null) {
    const s = stretch(duration, true);
    const { runs, plain } = endingsFor(setup, s, false);
    return [...runs, ...plain].map((cell) =>
      endingSteps(setup, s, cell).flatMap(({ onset, step }) =>
        isStroke(step) ? [{ onset, stroke: step }] : [],
      ),
    );
  }
  const { shape } = way;
  return [
    way.variant.layers.flatMap((_, l) =>
      layerSteps(setup, shape, l, stretch(duration, false)).flatMap(({ onset, step }) =>
        isStroke(step) ? [{ onset, stroke: step }] : [],
      ),
    ),
  ];
}

export interface Entry {
  /** The same strokes of the same variant share one. */
  readonly score: number;
  readonly strokes: readonly TimedStroke[];
  readonly variant: FigureVariant;
  readonly ways: Way[];
  readonly closing: boolean;
}

/** Which hands play when: what a stretch of a bar is looked up by. */
export const signature = (events: readonly { onset: number; hand: Hand }[]): string =>
  [...new Set(events.map((e) => `${e.onset}${e.hand}`))].sort().join(' ');

const NOTHING: readonly Entry[] = [];

/** Everything playable on stretches of a metre, looked up by which hands play when. */
export class Library {
  private readonly ways: Way[];
  private readonly byDuration = new Map<number, Map<string, Entry[]>>();
  private scores = 0;

  constructor(private readonly metre: Metre) {
    this.ways = waysFor(isCompound(metre));
  }

  find(duration: number, sign: string): readonly Entry[] {
    let table = this.byDuration.get(duration);
    if (table === undefined) {
      table = this.build(duration);
      this.byDuration.set(duration, table);
    }
    return table.get(sign) ?? NOTHING;
  }

  private build(duration: number): Map<string, Entry[]> {
    const table = new Map<string, Entry[]>();
    const known = new Map<FigureVariant, Map<string, Entry>>();
    for (const way of this.ways) {
      for (const strokes of played(way, this.metre, duration)) {
        if (strokes.length === 0) continue;
        const closing = way.shape === null;
        const text = `${closing} ${strokes.map((s) => `${s.onset}${JSON.stringify(s.stroke.notes)}`).join()}`;
        const own = known.get(way.variant) ?? new Map<string, Entry>();
        known.set(way.variant, own);
        const before = own.get(text);
        if (before !== undefined) {
          before.ways.push(way);
          continue;
        }
        const entry = { score: this.scores++, strokes, variant: way.variant, ways: [way], closing };
        own.set(text, entry);
        const sign = signature(
          strokes.flatMap((s) => s.stroke.notes.map((n) => ({ onset: s.onset, hand: n.hand }))),
        );
        const list = table.get(sign);
        if (list === undefined) table.set(sign, [entry]);
        else list.push(entry);
      }
    }
    return table;
  }
}
