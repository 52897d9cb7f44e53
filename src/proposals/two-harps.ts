/** A passage divided between two harps: by turns, by hand, by chord half; each with its own plan and its own check. */

import type { Ticks } from '../base/units';
import type { PlannedPassage } from '../harp/planned';
import { barAt, beatTicks } from '../music/metre';
import type { Passage } from '../music/passage';
import { diatonicIndex } from '../music/pitch';
import { planPassage } from '../pedals/plan';
import type { PedalPrice, PlanAnswer, PlanOptions } from '../pedals/types';
import { assignHands } from '../playability/hands';
import { judge } from '../playability/judge';
import type { Problem } from '../base/problem';
import { harmoniesOf } from './harmony-here';
import { pointsOf } from './neighbours';

/** 0 is Harp I, 1 is Harp II. */
export type Harp = 0 | 1;

/** How the notes are divided. `relief`: Harp II takes only the bars in which that saves something. */
export type SplitWay =
  | { readonly kind: 'bars' | 'beats'; readonly every: number }
  | { readonly kind: 'chords' | 'strokes' | 'hands' | 'halves' | 'relief' };

/** Which harp plays each pluck, sweep and note of a tremble, by id. */
export type Division = ReadonlyMap<string, Harp>;

export interface HarpPart {
  readonly planned: PlannedPassage;
  readonly price: PedalPrice;
  readonly lowerBound: number;
  readonly optimal: boolean;
  /** Warnings of the rules; never errors. */
  readonly warnings: readonly Problem[];
}

export interface Split {
  readonly way: SplitWay;
  readonly division: Division;
  readonly harps: readonly [HarpPart, HarpPart];
  /** Moves and points (practical aim) of both harps together. */
  readonly moves: number;
  readonly points: number;
  /** Against one harp; null where one harp cannot play the passage. */
  readonly saves: { readonly moves: number; readonly points: number } | null;
}

export interface TwoHarpsAnswer {
  /** The plan for one harp, and how many errors the rules find in it (0 where there is no plan). */
  readonly one: PlanAnswer;
  readonly errors: number;
  /** Valid splits, the cheapest first; of the same price the simpler one. */
  readonly splits: readonly Split[];
  /** The cheapest, where one harp cannot play the passage or pays more; else null. */
  readonly best: Split | null;
  /** Ways that do not help: a harp has nothing to play, no plan, or errors. */
  readonly refused: readonly { readonly way: SplitWay; readonly why: 'empty' | 'plan' | 'rules' }[];
}

/** Onsets planned in all; the search for relief stops there. */
const WORK = 40_000;

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

interface Event {
  readonly id: string;
  readonly onset: Ticks;
  readonly hand: 'R' | 'L' | null;
  /** Height, for the halves of a chord; null for a sweep. */
  readonly height: number | null;
}

/** Everything that is struck, each once, by onset. */
function eventsOf(passage: Passage): Event[] {
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

const isEmpty = (p: Passage): boolean => p.plucks.length + p.sweeps.length + p.trembles.length === 0;
const onsetsOf = (p: Passage): number => new Set(p.plucks.map((x) => x.onset)).size + p.sweeps.length + 1;

/** The plan with hands that the rules accept: as written, else divided anew; null where neither is. */
function withHands(planned: PlannedPassage): { planned: PlannedPassage; problems: Problem[] } {
  const errors = (all: readonly Problem[]): number => all.filter((p) => p.severity === 'error').length;
  const given = { ...planned, passage: assignHands(planned.passage) };
  const first = judge(given);
  if (errors(first) === 0) return { planned: given, problems: first };
  const freed = planned.passage.plucks.map((p) => ({ ...p, hand: null, finger: null }));
  const anew = { ...planned, passage: assignHands({ ...planned.passage, plucks: freed }) };
  const second = judge(anew);
  return errors(second) < errors(first)
    ? { planned: anew, problems: second }
    : { planned: given, problems: first };
}

type Made = { readonly split: Omit<Split, 'saves'> } | { readonly why: 'empty' | 'plan' | 'rules' };

function make(passage: Passage, division: Division, way: SplitWay, options: PlanOptions): Made {
  const harps: HarpPart[] = [];
  for (const harp of [0, 1] as const) {
    const part = partOf(passage, division, harp);
    if (isEmpty(part)) return { why: 'empty' };
    const answer = planPassage(part, options);
    if (answer.status === 'unplayable') return { why: 'plan' };
    const { planned, problems } = withHands(answer.planned);
    if (problems.some((p) => p.severity === 'error')) return { why: 'rules' };
    harps.push({
      planned,
      price: answer.price,
      lowerBound: answer.lowerBound,
      optimal: answer.status === 'optimal',
      warnings: problems,
    });
  }
  const [first, second] = harps as [HarpPart, HarpPart];
  return {
    split: {
      way,
      division,
      harps: [first, second],
      moves: first.price.moves + second.price.moves,
      points: pointsOf(first.price) + pointsOf(second.price),
    },
  };
}

/** What decides between splits: moves and then points in the aim `fewest`, else the other way round. */
const worth = (s: { moves: number; points: number }, options: PlanOptions): [number, number] =>
  options.aim === 'fewest' ? [s.moves, s.points] : [s.points, s.moves];
const better = (a: readonly [number, number], b: readonly [number, number]): boolean =>
  a[0] < b[0] || (a[0] === b[0] && a[1] < b[1]);

/** A division of price `least` (null: it cannot be played) with each bar given to the other harp where that is cheaper. */
function relief(
  passage: Passage,
  options: PlanOptions,
  start: Division,
  least: { readonly moves: number; readonly points: number } | null,
  budget: number,
): Omit<Split, 'saves'> | null {
  const events = eventsOf(passage);
  const onsets = onsetsOf(passage);
  let division: Division = start;
  let best: Omit<Split, 'saves'> | null = null;
  let left = budget;
  for (const bar of passage.bars) {
    const here = events.filter((e) => e.onset >= bar.start && e.onset < bar.start + bar.length);
    if (here.length === 0) continue;
    left -= onsets;
    if (left < 0) break;
    const flipped = new Map(division);
    for (const e of here) flipped.set(e.id, division.get(e.id) === 0 ? 1 : 0);
    const made = make(passage, flipped, { kind: 'relief' }, options);
    if (!('split' in made)) continue;
    const known = best ?? least;
    if (known !== null && !better(worth(made.split, options), worth(known, options))) continue;
    best = made.split;
    division = flipped;
  }
  return best;
}

/**
 * The passage for two harps. Every way of `ways` is tried, then `relief`; each harp's part is planned under `options`
 * and held against every rule, its hands divided anew where the written ones do not do. Deterministic: work is
 * counted (onsets planned), not timed.
 */
export function twoHarps(
  passage: Passage,
  options: PlanOptions,
  limits: { readonly ways?: readonly SplitWay[]; readonly work?: number } = {},
): TwoHarpsAnswer {
  const one = planPassage(passage, options);
  const checked = one.status === 'unplayable' ? null : withHands(one.planned);
  const errors = checked?.problems.filter((p) => p.severity === 'error').length ?? 0;
  const alone =
    one.status === 'unplayable' || errors > 0
      ? null
      : { moves: one.price.moves, points: pointsOf(one.price) };
  const refused: { way: SplitWay; why: 'empty' | 'plan' | 'rules' }[] = [];
  const found: Omit<Split, 'saves'>[] = [];
  let work = limits.work ?? WORK;
  if (passage.bars.length > 0 && !isEmpty(passage)) {
    for (const way of limits.ways ?? SPLIT_WAYS) {
      if (way.kind === 'relief') continue;
      work -= onsetsOf(passage);
      const made = make(passage, divide(passage, way), way, options);
      if ('split' in made) found.push(made.split);
      else refused.push({ way, why: made.why });
    }
    // Where a way needs no move at all, there is nothing left to relieve.
    const asked = limits.ways === undefined || limits.ways.some((w) => w.kind === 'relief');
    if (asked && found.every((s) => s.moves > 0)) {
      const all = new Map(eventsOf(passage).map((e): [string, Harp] => [e.id, 0]));
      const bar = found.find((s) => s.way.kind === 'bars') ?? null;
      const some =
        alone === null
          ? relief(passage, options, bar?.division ?? all, bar, work)
          : relief(passage, options, all, alone, work);
      if (some !== null) found.push(some);
    }
  }
  const splits = found
    .map((s): Split => {
      const saves = alone && { moves: alone.moves - s.moves, points: alone.points - s.points };
      return { ...s, saves };
    })
    .map((s, i) => ({ s, i }))
    .sort((a, b) => {
      const [x, y] = [worth(a.s, options), worth(b.s, options)];
      return x[0] - y[0] || x[1] - y[1] || a.i - b.i;
    })
    .map(({ s }) => s);
  const first = splits[0] ?? null;
  const pays = first !== null && (alone === null || better(worth(first, options), worth(alone, options)));
  return { one, errors, splits, best: pays ? first : null, refused };
}
