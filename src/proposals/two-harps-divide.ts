/** How the notes of a passage are divided between two harps: by turns, by hand, by chord half; and each harp's part. */

import type { Ticks } from '../base/units';
import { barAt, beatTicks } from '../music/metre';
import type { Passage } from '../music/passage';
import { diatonicIndex } from '../music/pitch';
import { assignHands } from '../playability/hands';
import { harmoniesOf } from './harmony-here';

/** 0 is Harp I, 1 is Harp II. */
export type Harp = 0 | 1;

/** How the notes are divided. `relief`: Harp II takes only the bars in which that saves something. */
export type SplitWay =
  | { readonly kind: 'bars' | 'beats'; readonly every: number }
  | { readonly kind: 'chords' | 'strokes' | 'hands' | 'halves' | 'relief' };

/** Which harp plays each pluck, sweep and note of a tremble, by id. */
export type Division = ReadonlyMap<string, Harp>;

export const SPLIT_WAYS: readonly SplitWay[] = [
  { kind: 'hands' },
  { kind: 'halves' },
  { kind: 'bars', every: 1 },
  { kind: 'bars', every: 2 },
  { kind: 'bars', every: 4 },
  { kind: 'chords' },
  { kind: 'beats', every: 2 },
  { kind: 'beats', every: 1 },
  { kind: 'strokes' },
];

export interface Event {
  readonly id: string;
  readonly onset: Ticks;
  readonly hand: 'R' | 'L' | null;
  /** Height, for the halves of a chord; null for a sweep. */
  readonly height: number | null;
}

/** Everything that is struck, each once, by onset. */
export function eventsOf(passage: Passage): Event[] {
  const notes = [
    ...passage.plucks.map((p) => ({ ...p, height: diatonicIndex(p.pitch) })),
    ...passage.trembles.flatMap((t) =>
      t.notes.map((n) => ({ ...n, onset: t.onset, height: diatonicIndex(n.pitch) })),
    ),
    ...passage.sweeps.map((s) => ({ ...s, height: null })),
  ];
  return notes
    .map(({ id, onset, hand, height }) => ({ id, onset, hand, height }))
    .sort((a, b) => a.onset - b.onset || (a.height ?? -1) - (b.height ?? -1));
}

/** Which harp an event goes to, by turns of instants. */
function turnsOf(passage: Passage, way: SplitWay, events: readonly Event[]): (at: Ticks) => number {
  if (way.kind === 'bars') return (at) => Math.floor(barAt(passage.bars, at).index / way.every);
  if (way.kind === 'beats') {
    const before: number[] = [];
    let sum = 0;
    for (const bar of passage.bars) {
      before.push(sum);
      sum += Math.ceil(bar.length / beatTicks(bar.metre));
    }
    return (at) => {
      const bar = barAt(passage.bars, at);
      const beat = Math.floor((at - bar.start) / beatTicks(bar.metre));
      return Math.floor(((before[bar.index] ?? 0) + beat) / way.every);
    };
  }
  if (way.kind === 'chords') {
    const starts = harmoniesOf(passage).map((h) => h.from);
    return (at) =>
      Math.max(
        0,
        starts.findLastIndex((s) => s <= at),
      );
  }
  const onsets = [...new Set(events.map((e) => e.onset))];
  const index = new Map(onsets.map((at, i) => [at, i]));
  return (at) => index.get(at) ?? 0;
}

/** The division that a way makes. A chord's upper half is Harp I's; so is a sole note. */
export function divide(passage: Passage, way: SplitWay): Division {
  const events = eventsOf(way.kind === 'hands' ? assignHands(passage) : passage);
  if (way.kind === 'hands') return new Map(events.map((e) => [e.id, e.hand === 'L' ? 1 : 0]));
  if (way.kind === 'halves') {
    const at = new Map<number, Event[]>();
    for (const e of events) at.set(e.onset, [...(at.get(e.onset) ?? []), e]);
    return new Map(
      [...at.values()].flatMap((chord) =>
        chord.map((e, i): [string, Harp] => [e.id, 2 * i + 1 < chord.length ? 1 : 0]),
      ),
    );
  }
  const turn = turnsOf(passage, way, events);
  return new Map(events.map((e) => [e.id, (turn(e.onset) % 2) as Harp]));
}

/** One harp's part: its notes, with bars, tempo, chord symbols and damps as in the whole. */
export function partOf(passage: Passage, division: Division, harp: Harp): Passage {
  const own = (x: { readonly id: string }): boolean => division.get(x.id) === harp;
  const plucks = passage.plucks.filter(own);
  const kept = new Set(plucks.map((p) => p.id));
  const name = harp === 0 ? 'Harp I' : 'Harp II';
  return {
    ...passage,
    title: passage.title === '' ? name : `${passage.title} (${name})`,
    plucks,
    rolls: passage.rolls
      .map((r) => ({ ...r, plucks: r.plucks.filter((id) => kept.has(id)) }))
      .filter((r) => r.plucks.length > 1),
    sweeps: passage.sweeps.filter(own),
    trembles: passage.trembles
      .map((t) => ({ ...t, notes: t.notes.filter(own) }))
      .filter((t) => t.notes.length > 0),
    ...(passage.slides === undefined ? {} : { slides: passage.slides.filter((s) => kept.has(s.pluck)) }),
  };
}

export const isEmpty = (p: Passage): boolean => p.plucks.length + p.sweeps.length + p.trembles.length === 0;
