/** Writes one voice of one bar: plain values, tuplets, ties. */

import { type Piece, type Span, cut } from './metre-tree';
import { type NoteValue, PLAIN, cutUnits, noteValue } from './values';

/** What fills [start, end) of a bar, in ticks from its start: an event, or null for a rest. */
export interface Fill<E> {
  readonly start: number;
  readonly end: number;
  readonly event: E | null;
}

export interface TupletMark {
  /** Counts the tuplets of the bar's voice. */
  readonly id: number;
  /** `actual` notes in the time of `normal`, of this type. */
  readonly actual: number;
  readonly normal: number;
  readonly normalType: string;
  /** Ticks covered. */
  readonly length: number;
  readonly first: boolean;
  readonly last: boolean;
}

/** One printed note, chord or rest. */
export interface Printed<E> extends Fill<E> {
  readonly value: NoteValue;
  readonly tuplet: TupletMark | null;
}

const gcd = (a: number, b: number): number => (b === 0 ? a : gcd(b, a % b));

const clip = <E>(fills: readonly Fill<E>[], start: number, end: number): Fill<E>[] =>
  fills
    .filter((fill) => fill.start < end && fill.end > start)
    .map((fill) => ({ ...fill, start: Math.max(fill.start, start), end: Math.min(fill.end, end) }));

const edges = (fills: readonly Fill<unknown>[], span: Piece): number[] =>
  fills.flatMap((fill) => (fill.start > span.start ? [fill.start - span.start] : []));

const isPlain = (fills: readonly Fill<unknown>[], span: Span): boolean =>
  edges(fills, span).every((at) => (at + span.start) % PLAIN === 0);

/** Prints contiguous fills that cover the bar. */
export function printVoice<E>(tree: Span, fills: readonly Fill<E>[]): Printed<E>[] {
  let tuplets = 0;

  const plain = (span: Span, part: readonly Fill<E>[]): Printed<E>[] =>
    part.flatMap((fill) =>
      cut(span, fill.start, fill.end, fill.event === null).map((piece) => ({
        ...piece,
        event: fill.event,
        value: noteValue(piece.end - piece.start) ?? { type: 'quarter', dots: 0 },
        tuplet: null,
      })),
    );

  const tuplet = (span: Span, part: readonly Fill<E>[]): Printed<E>[] => {
    const length = span.end - span.start;
    let inner = part;
    let unit = edges(inner, span).reduce(gcd, length);
    let shape = tupletShape(span, length / unit);
    const parts = shape === null || unit === GRID ? nearParts(edges(inner, span), length) : null;
    if (parts !== null) {
      // A free run with gaps: its own number of parts, which the grid of ticks has blurred.
      unit = length / parts;
      const near = (at: number): number => span.start + Math.round((at - span.start) / unit) * unit;
      inner = inner.map((fill) => ({ ...fill, start: near(fill.start), end: near(fill.end) }));
      shape = tupletShape(span, parts);
    }
    if (shape === null) {
      // Finer than any note: as many equal parts as there are events keeps their order.
      unit = length / inner.length;
      inner = inner.map((fill, i) => ({
        ...fill,
        start: span.start + i * unit,
        end: span.start + (i + 1) * unit,
      }));
      shape = tupletShape(span, inner.length) ?? { actual: inner.length, normal: 1, written: length };
    }
    const { actual, normal, written } = shape;
    const id = tuplets++;
    const pieces = inner.flatMap((fill) => {
      let at = fill.start;
      return cutUnits(Math.round((fill.end - fill.start) / unit), written).map((count) => {
        const start = at;
        at += count * unit;
        return {
          start,
          end: at,
          event: fill.event,
          value: noteValue(count * written) ?? { type: 'quarter', dots: 0 },
        };
      });
    });
    const normalType = noteValue(written)?.type ?? 'quarter';
    return pieces.map((piece, i) => ({
      ...piece,
      tuplet: {
        id,
        actual,
        normal,
        normalType,
        length,
        first: i === 0,
        last: i === pieces.length - 1,
      },
    }));
  };

  /** A beat or a part of one. */
  const solve = (span: Span, all: readonly Fill<E>[]): Printed<E>[] => {
    const part = clip(all, span.start, span.end);
    if (isPlain(part, span)) return plain(span, part);
    const length = span.end - span.start;
    const count = length / edges(part, span).reduce(gcd, length);
    const usual = span.level === 'beat' && (span.compound ? [5, 7] : [3, 5, 6, 7]).includes(count);
    const starts = new Set(part.map((fill) => fill.start));
    const separable = span.parts.length > 0 && span.parts.every((inner) => starts.has(inner.start));
    return usual || !separable ? tuplet(span, part) : row(span, span.parts, part);
  };

  /** Neighbouring spans on the plain grid are cut together, so that no note is tied without need. */
  const row = (whole: Span, spans: readonly Span[], part: readonly Fill<E>[]): Printed<E>[] => {
    const out: Printed<E>[] = [];
    let run: { start: number; end: number } | null = null;
    const flush = () => {
      if (run !== null) out.push(...plain(whole, clip(part, run.start, run.end)));
      run = null;
    };
    for (const span of spans) {
      const own = clip(part, span.start, span.end);
      if (isPlain(own, span)) {
        const open: Piece | null = run;
        run = { start: (open as Piece | null)?.start ?? span.start, end: span.end };
        continue;
      }
      flush();
      out.push(...(span.level === 'group' ? tuplet(span, own) : solve(span, own)));
    }
    flush();
    return out;
  };

  /** The beats of a span, save that beats under one tuplet stay together. */
  const beatsOf = (span: Span): Span[] =>
    span.level !== 'group' || wantsOneTuplet(span, clip(fills, span.start, span.end))
      ? [span]
      : span.parts.flatMap(beatsOf);

  return row(tree, beatsOf(tree), fills);
}

/**
 * Several plain beats hold one tuplet where a note crosses a beat and both its ends lie off the plain grid, as in
 * quarter triplets, and the whole divides in 3, 5, 6 or 7.
 */
function wantsOneTuplet(span: Span, part: readonly Fill<unknown>[]): boolean {
  if (span.compound || noteValue(span.end - span.start)?.dots !== 0) return false;
  const crosses = part.some(
    (fill) =>
      fill.event !== null &&
      fill.start % PLAIN !== 0 &&
      fill.end % PLAIN !== 0 &&
      span.parts.some((inner) => fill.start < inner.start && inner.start < fill.end),
  );
  const length = span.end - span.start;
  return crosses && [3, 5, 6, 7].includes(length / edges(part, span).reduce(gcd, length));
}

/** The grid to which onsets of no known tuplet are moved (layout.ts). */
const GRID = 35;
const MOST_PARTS = 48;
/** Ticks by which an edge may lie off its part: half the grid, and what readers round. */
const NEAR = 24;

/** The fewest equal parts near whose edges all of these lie, each near one of its own; null where there are none. */
function nearParts(at: readonly number[], length: number): number | null {
  for (let parts = at.length + 1; parts <= MOST_PARTS; parts++) {
    const unit = length / parts;
    let last = 0;
    const fits = at.every((edge) => {
      const part = Math.round(edge / unit);
      const own = part > last && part < parts && Math.abs(edge - part * unit) <= NEAR;
      last = part;
      return own;
    });
    if (fits) return parts;
  }
  return null;
}

/** `actual` in the time of `normal` notes of `written` ticks: the next lower power of two, times 3 in dotted beats. */
function tupletShape(span: Span, actual: number): { actual: number; normal: number; written: number } | null {
  const length = span.end - span.start;
  let normal = span.compound ? 3 : 1;
  while (normal * 2 <= actual) normal *= 2;
  const written = length / normal;
  return noteValue(written)?.dots === 0 ? { actual, normal, written } : null;
}
