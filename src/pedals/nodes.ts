/** The instants through which the timed search runs, and the positions that are worth moving to. */

import type { Span, Stop } from './demand-types';
import { type Partial7, partialDigit } from './tables';

/** A node of the search: the instant at which a stop is served, or a span ends, or the passage begins or ends. */
export interface Node {
  readonly at: number;
  /** First instant of a move that comes after this node. */
  readonly release: number;
  /** Index of the stop served here, or -1. */
  readonly stop: number;
  /** Index of the first stop after this node. */
  readonly next: number;
  /** Spans that end here. */
  readonly ended: readonly Span[];
  /** Spans of the last stop that sound on after this node. */
  readonly sounding: readonly Span[];
}

/** Nodes of these stops in order of time; a span's end stands before a stop at the same tick. */
export function nodesOf(stops: readonly Stop[], begin: number): Node[] {
  const ends = new Map<number, Span[]>();
  for (const stop of stops) {
    for (const span of stop.spans) {
      if (span.onset === stop.onset) ends.set(span.end, [...(ends.get(span.end) ?? []), span]);
    }
  }
  const nodes: Node[] = [{ at: begin, release: begin, stop: -1, next: 0, ended: [], sounding: [] }];
  const endTimes = [...ends.keys()].sort((a, b) => a - b);
  let [e, sounding] = [0, [] as readonly Span[]];
  const endsUntil = (at: number, next: number): void => {
    while (e < endTimes.length && (endTimes[e] as number) <= at) {
      const time = endTimes[e++] as number;
      const ended = ends.get(time) as Span[];
      sounding = sounding.filter((s) => !ended.includes(s));
      nodes.push({ at: time, release: time, stop: -1, next, ended, sounding });
    }
  };
  stops.forEach((stop, i) => {
    endsUntil(stop.onset, i);
    sounding = stop.spans;
    nodes.push({ at: stop.onset, release: stop.onset, stop: i, next: i + 1, ended: [], sounding });
  });
  endsUntil(Number.POSITIVE_INFINITY, stops.length);
  return nodes;
}

/** The nodes from a stop on, after one that stands where the stop before was served. */
export function nodesFrom(nodes: readonly Node[], stop: number): Node[] {
  const index = nodes.findIndex((n) => n.stop === stop);
  const before = nodes.find((n) => n.stop === stop - 1) as Node;
  return [{ ...before, stop: -1, ended: [], sounding: [] }, ...nodes.slice(index)];
}

/**
 * For each stop and pedal, as bits: the positions in which the first need from there on may find it. A move to
 * any other position would have to be moved again before it served.
 */
export function wantedPositions(stops: readonly Stop[], end: Partial7): Uint8Array[] {
  const out: Uint8Array[] = [];
  let after = Uint8Array.from({ length: 7 }, (_, k) => positionBits(end, k));
  out[stops.length] = after;
  for (let i = stops.length - 1; i >= 0; i--) {
    const here = new Uint8Array(7);
    for (const { needs } of (stops[i] as Stop).options) {
      for (let k = 0; k < 7; k++)
        here[k] = (here[k] as number) | (positionBits(needs, k) || (after[k] as number));
    }
    out[i] = after = here;
  }
  return out;
}

/** The position that a partial setting asks of a pedal, as a bit; 0 for none. */
export function positionBits(p: Partial7, pedal: number): number {
  const digit = partialDigit(p, pedal);
  return digit === 3 ? 0 : 1 << digit;
}
