/** A passage for two harps: divided in several ways, each harp with its own plan and its own check, in bounded work. */

import type { Problem } from '../base/problem';
import type { PlannedPassage } from '../harp/planned';
import type { Passage } from '../music/passage';
import { planPassage } from '../pedals/plan';
import type { PedalPrice, PlanAnswer, PlanOptions } from '../pedals/types';
import { diatonicIndex } from '../music/pitch';
import { assignHands } from '../playability/hands';
import { judge } from '../playability/judge';
import { pointsOf } from './neighbours';
import { exactSteps, onsetsOf } from './plan-steps';
import { isQuick, quickPlan } from './quick-plan';
import {
  type Division,
  type Harp,
  SPLIT_WAYS,
  type SplitWay,
  divide,
  eventsOf,
  isEmpty,
  partOf,
} from './two-harps-divide';

export type { Division, Harp, SplitWay } from './two-harps-divide';

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
  /** Notes that its way alone would have given to the other harp. */
  readonly across: number;
  readonly harps: readonly [HarpPart, HarpPart];
  /** Moves and points (practical aim) of both harps together. */
  readonly moves: number;
  readonly points: number;
  /** Against one harp; null where one harp cannot play the passage. */
  readonly saves: { readonly moves: number; readonly points: number } | null;
}

/** Why a way is not offered; `limit`: the work was spent before it was looked at to the end. */
export type WhyNot = 'empty' | 'plan' | 'rules' | 'limit';

export interface TwoHarpsAnswer {
  /** The plan for one harp, and how many errors the rules find in it (0 where there is no plan). */
  readonly one: PlanAnswer;
  readonly errors: number;
  /** Valid splits, the cheapest first; of the same price the simpler one. */
  readonly splits: readonly Split[];
  /** The cheapest, where one harp cannot play the passage or pays more; else null. */
  readonly best: Split | null;
  /** Ways that do not help: a harp has nothing to play, no plan, or errors; or the work was spent. */
  readonly refused: readonly { readonly way: SplitWay; readonly why: WhyNot }[];
  /** The limit of work was hit: some plans are quick ones, good but not proven, or ways were not looked at. */
  readonly limited: boolean;
}

/** Work in steps of about a microsecond, counted from the notes and not from the clock: about six seconds. */
const WORK = 8_000_000;
/** Of which one harp's own plan may take. */
const FOR_ONE = 1_500_000;
/** Steps, measured: a quick plan an onset; a judged note; a note whose hand is searched. */
const STEPS = { quick: 150, judged: 30, handed: 150 } as const;
/** Rounds in which notes go to the other harp, for so many ways: those that lack fewest, and are cheapest. */
const ROUNDS = 6;
const SETTLED = 2;
/** More notes than these at once are another way of dividing. */
const MOST_ACROSS = 24;

const handSteps = (p: Passage): number => p.plucks.length * (2 * STEPS.judged + STEPS.handed);

class Work {
  limited = false;
  constructor(private left: number) {}
  /** Whether so many steps are left, which are then spent. */
  spend(steps: number, keep = 0): boolean {
    if (this.left - keep < steps) {
      this.limited = true;
      return false;
    }
    this.left -= steps;
    return true;
  }
}

/** The plan with hands that the rules accept: as written, else divided anew. */
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

type Plan = Omit<HarpPart, 'warnings'>;
interface Candidate {
  readonly index: number;
  readonly way: SplitWay;
  readonly division: Division;
  /** Quick plans; null where the quick search found none, `lost` then are the notes that lacked a pedal. */
  readonly quick: readonly [Plan, Plan] | null;
  readonly lost: readonly string[];
  readonly across: number;
}

function quickPart(part: Passage, options: PlanOptions): Plan | { readonly lost: readonly string[] } {
  const made = quickPlan(part, options);
  return 'lost' in made ? made : { ...made, lowerBound: 0, optimal: false };
}

/** Quick plans for a division. */
function quickly(
  passage: Passage,
  division: Division,
  options: PlanOptions,
  work: Work,
): Pick<Candidate, 'quick' | 'lost'> {
  const none = { quick: null, lost: [] };
  const parts = [partOf(passage, division, 0), partOf(passage, division, 1)] as const;
  if (!parts.every((p) => isQuick(p, options) && !isEmpty(p))) return none;
  if (!work.spend(STEPS.quick * (onsetsOf(parts[0]) + onsetsOf(parts[1])))) return none;
  const a = quickPart(parts[0], options);
  const b = quickPart(parts[1], options);
  if (!('lost' in a) && !('lost' in b)) return { quick: [a, b], lost: [] };
  return { quick: null, lost: [a, b].flatMap((made) => ('lost' in made ? made.lost : [])) };
}

/** The candidate with these notes given to the other harp, planned anew. */
function given(
  passage: Passage,
  from: Candidate,
  ids: readonly string[],
  options: PlanOptions,
  work: Work,
): Candidate {
  const division = new Map(from.division);
  for (const id of ids) division.set(id, division.get(id) === 0 ? 1 : 0);
  const across = from.across + ids.length;
  return { ...from, division, across, ...quickly(passage, division, options, work) };
}

/** A note that each error can do without and that is not `gone` across before: of a chord an outer one, else the last. */
function spared(problems: readonly Problem[], passage: Passage, gone: ReadonlySet<string>): string[] {
  const byId = new Map(passage.plucks.map((p) => [p.id, p]));
  const out = new Set<string>();
  for (const { severity, where } of problems) {
    if (severity !== 'error' || where.kind !== 'music' || where.ids.some((id) => out.has(id))) continue;
    const notes = where.ids
      .flatMap((id) => (gone.has(id) ? [] : (byId.get(id) ?? [])))
      .sort((a, b) => a.onset - b.onset || diatonicIndex(a.pitch) - diatonicIndex(b.pitch));
    const last = notes.at(-1);
    if (last === undefined) continue;
    const chord = notes.filter((n) => n.onset === last.onset);
    out.add((last.hand === 'R' ? (chord[0] ?? last) : last).id);
  }
  return [...out];
}

/**
 * A candidate whose notes without a pedal, and then those that no hand can take, go to the other harp, a few times
 * over; as it was where that is in vain.
 */
function settled(passage: Passage, asked: Candidate, options: PlanOptions, work: Work): Candidate {
  let now = asked;
  const gone = new Set<string>();
  for (let round = 0; round < ROUNDS; round++) {
    if (now.quick === null) {
      if (now.lost.length === 0) return asked;
      now = given(passage, now, now.lost, options, work);
      continue;
    }
    if (!work.spend(handSteps(passage), 4 * handSteps(passage))) return now;
    const wrong = now.quick.flatMap(({ planned }) => {
      const made = withHands(planned);
      return spared(made.problems, made.planned.passage, gone);
    });
    if (wrong.length === 0) return now;
    if (wrong.length > MOST_ACROSS) return asked;
    for (const id of wrong) gone.add(id);
    now = given(passage, now, wrong, options, work);
  }
  return now.quick === null ? asked : now;
}

/** Both harps' parts planned exactly where the work allows it, else as they were planned quickly; then judged. */
function make(
  passage: Passage,
  candidate: Candidate,
  options: PlanOptions,
  work: Work,
): { readonly split: Omit<Split, 'saves'> } | { readonly why: WhyNot } {
  const { way, division, across } = candidate;
  const harps: HarpPart[] = [];
  for (const harp of [0, 1] as const) {
    const part = partOf(passage, division, harp);
    if (isEmpty(part)) return { why: 'empty' };
    const quick = candidate.quick?.[harp] ?? null;
    const hands = handSteps(part);
    let plan: Plan | null = quick;
    if (work.spend(exactSteps(part, quick?.price.moves ?? null), hands)) {
      const exact = planPassage(part, { ...options, explain: false });
      if (exact.status !== 'unplayable') plan = { ...exact, optimal: exact.status === 'optimal' };
      else if (quick === null) return { why: 'plan' };
    } else if (quick === null) return { why: 'limit' };
    if (!work.spend(hands)) return { why: 'limit' };
    const { planned, problems } = withHands((plan as Plan).planned);
    if (problems.some((p) => p.severity === 'error')) return { why: 'rules' };
    const { price, lowerBound, optimal } = plan as Plan;
    harps.push({ planned, price, lowerBound, optimal, warnings: problems });
  }
  const [first, second] = harps as [HarpPart, HarpPart];
  return { split: { way, division, across, harps: [first, second], ...sumOf(first.price, second.price) } };
}

const sumOf = (a: PedalPrice, b: PedalPrice): { moves: number; points: number } => ({
  moves: a.moves + b.moves,
  points: pointsOf(a) + pointsOf(b),
});

/** What decides between splits: moves and then points in the aim `fewest`, else the other way round. */
const worth = (s: { moves: number; points: number }, options: PlanOptions): [number, number] =>
  options.aim === 'fewest' ? [s.moves, s.points] : [s.points, s.moves];
const better = (a: readonly [number, number], b: readonly [number, number]): boolean =>
  a[0] < b[0] || (a[0] === b[0] && a[1] < b[1]);

type Cost = { readonly moves: number; readonly points: number };

/**
 * A division of price `least` (null: it cannot be played) with each bar given to the other harp where that is cheaper.
 * Looked for with quick plans, and by exact ones where those are not to be had; the last is then made like the others.
 */
function* relief(
  passage: Passage,
  options: PlanOptions,
  start: Division,
  least: Cost | null,
  work: Work,
): Generator<number, Omit<Split, 'saves'> | null> {
  const events = eventsOf(passage);
  const quick = isQuick(passage, options);
  let division: Division = start;
  let best: Omit<Split, 'saves'> | null = null;
  let cost = least;
  // Quick plans are compared with quick plans.
  const quickCost = (d: Division): Cost | null => {
    const made = quickly(passage, d, options, work);
    return made.quick === null ? null : sumOf(made.quick[0].price, made.quick[1].price);
  };
  const way = { kind: 'relief' } as const;
  const reserve = quick ? exactSteps(passage, 0) + passage.plucks.length * 500 : 0;
  if (quick) cost = least === null ? null : (quickCost(start) ?? least);
  for (const [i, bar] of passage.bars.entries()) {
    yield i / passage.bars.length;
    const here = events.filter((e) => e.onset >= bar.start && e.onset < bar.start + bar.length);
    if (here.length === 0) continue;
    const flipped = new Map(division);
    for (const e of here) flipped.set(e.id, division.get(e.id) === 0 ? 1 : 0);
    let found: Cost | null;
    if (quick) {
      if (!work.spend(0, reserve)) break;
      found = quickCost(flipped);
    } else {
      const made = make(
        passage,
        { index: 0, way, division: flipped, quick: null, lost: [], across: 0 },
        options,
        work,
      );
      if ('why' in made && made.why === 'limit') break;
      found = 'split' in made ? made.split : null;
      if (found !== null && (cost === null || better(worth(found, options), worth(cost, options))))
        best = (made as { split: Omit<Split, 'saves'> }).split;
    }
    if (found === null || (cost !== null && !better(worth(found, options), worth(cost, options)))) continue;
    cost = found;
    division = flipped;
  }
  if (!quick || division === start) return best;
  const made = quickly(passage, division, options, work);
  const whole = make(passage, { index: 0, way, division, across: 0, ...made }, options, work);
  return 'split' in whole ? whole.split : null;
}

/** Onsets before a note that finds no pedal among which the reason is looked for. */
const LOOK_BACK = [1, 2, 4, 8];
/** Notes in such a stretch: more take too long, however few the onsets are. */
const MOST_NOTES = 20;

/** One harp that the quick search cannot serve: the reason where a short stretch shows it, else the notes it left out. */
function explained(passage: Passage, options: PlanOptions, lost: readonly string[]): PlanAnswer {
  const onsets = [...new Set(passage.plucks.map((p) => p.onset))];
  for (const id of lost.slice(0, 4)) {
    const to = passage.plucks.find((p) => p.id === id)?.onset;
    const at = onsets.indexOf(to as (typeof onsets)[number]);
    if (at < 0) continue;
    for (const back of LOOK_BACK) {
      const [from, end] = [onsets[Math.max(0, at - back)] ?? 0, onsets[at + (back >> 1)] ?? Infinity];
      const inside = (x: { readonly onset: number }): boolean => x.onset >= from && x.onset <= end;
      const [plucks, trembles] = [passage.plucks.filter(inside), passage.trembles.filter(inside)];
      if (plucks.length > MOST_NOTES) break;
      const ids = new Set(plucks.map((p) => p.id));
      const rolls = passage.rolls.filter((r) => r.plucks.every((x) => ids.has(x)));
      const stretch = { ...passage, plucks, trembles, rolls };
      const answer = planPassage(stretch, { ...options, start: null });
      if (answer.status === 'unplayable') return answer;
    }
  }
  return { status: 'unplayable', conflict: lost, ways: [{ kind: 'leave-out', ids: lost }], problems: [] };
}

function oneHarp(passage: Passage, options: PlanOptions, work: Work): PlanAnswer {
  const onsets = onsetsOf(passage);
  if (!isQuick(passage, options) || exactSteps(passage, null) <= FOR_ONE) {
    work.spend(exactSteps(passage, 0));
    return planPassage(passage, options);
  }
  work.spend(STEPS.quick * onsets);
  const quick = quickPart(passage, options);
  if ('lost' in quick) {
    work.spend(16 * 5000);
    return explained(passage, options, quick.lost);
  }
  const steps = exactSteps(passage, quick.price.moves);
  if (steps <= FOR_ONE && work.spend(steps)) return planPassage(passage, options);
  work.limited = true;
  const { planned, price, lowerBound } = quick;
  return { status: 'planned', planned, price, lowerBound, leastPoints: null, problems: [] };
}

/**
 * The passage for two harps in steps: yields the share done (0 to 1), and returns the answer. Every way of `ways` is
 * tried, then `relief`; each harp's part is planned under `options` and held against every rule, its hands divided
 * anew where the written ones do not do. Work is counted and bounded: ways are planned quickly first, the most
 * promising then exactly, as far as it goes; `limited` says where it did not. Deterministic.
 */
export function* twoHarpsInSteps(
  passage: Passage,
  options: PlanOptions,
  limits: { readonly ways?: readonly SplitWay[]; readonly work?: number } = {},
): Generator<number, TwoHarpsAnswer> {
  const work = new Work(limits.work ?? WORK);
  yield 0;
  const one = oneHarp(passage, options, work);
  yield 0.2;
  const checked = one.status === 'unplayable' ? null : withHands(one.planned);
  const errors = checked?.problems.filter((p) => p.severity === 'error').length ?? 0;
  const alone =
    one.status === 'unplayable' || errors > 0
      ? null
      : { moves: one.price.moves, points: pointsOf(one.price) };
  const refused: { index: number; way: SplitWay; why: WhyNot }[] = [];
  const found: { index: number; split: Omit<Split, 'saves'> }[] = [];
  const ways = (limits.ways ?? SPLIT_WAYS).filter((w) => w.kind !== 'relief');
  if (passage.bars.length > 0 && !isEmpty(passage)) {
    const candidates: Candidate[] = [];
    for (const [index, way] of ways.entries()) {
      const division = divide(passage, way);
      candidates.push({ index, way, division, across: 0, ...quickly(passage, division, options, work) });
      yield 0.2 + (0.2 * (index + 1)) / ways.length;
    }
    const promise = (c: Candidate): readonly [number, number] =>
      c.quick === null
        ? [Infinity, c.lost.length]
        : worth(sumOf(c.quick[0].price, c.quick[1].price), options);
    candidates.sort((a, b) => {
      const [x, y] = [promise(a), promise(b)];
      return x[0] === y[0] ? x[1] - y[1] || a.index - b.index : x[0] - y[0];
    });
    // What can be planned exactly needs no notes given across.
    if (exactSteps(passage, null) > FOR_ONE) {
      for (const [i, c] of candidates.slice(0, SETTLED).entries()) {
        candidates[i] = settled(passage, c, options, work);
        yield 0.4;
      }
    }
    for (const [i, candidate] of candidates.entries()) {
      const { index, way } = candidate;
      const made = make(passage, candidate, options, work);
      if ('split' in made) found.push({ index, split: made.split });
      else refused.push({ index, way, why: made.why });
      yield 0.4 + (0.4 * (i + 1)) / candidates.length;
    }
    // Where a way needs no move at all, there is nothing left to relieve.
    const asked = limits.ways === undefined || limits.ways.some((w) => w.kind === 'relief');
    if (asked && found.every(({ split }) => split.moves > 0)) {
      const all = new Map(eventsOf(passage).map((e): [string, Harp] => [e.id, 0]));
      const bar = found.find(({ split }) => split.way.kind === 'bars')?.split ?? null;
      const steps =
        alone === null
          ? relief(passage, options, bar?.division ?? all, bar, work)
          : relief(passage, options, all, alone, work);
      for (;;) {
        const step = steps.next();
        if (step.done !== true) {
          yield 0.8 + step.value / 5;
          continue;
        }
        if (step.value !== null) found.push({ index: ways.length, split: step.value });
        break;
      }
    }
  }
  const splits = found
    .map(({ index, split }) => {
      const saves = alone && { moves: alone.moves - split.moves, points: alone.points - split.points };
      return { index, split: { ...split, saves } };
    })
    .sort((a, b) => {
      const [x, y] = [worth(a.split, options), worth(b.split, options)];
      return x[0] - y[0] || x[1] - y[1] || a.index - b.index;
    })
    .map(({ split }): Split => split);
  const first = splits[0] ?? null;
  const pays = first !== null && (alone === null || better(worth(first, options), worth(alone, options)));
  return {
    one,
    errors,
    splits,
    best: pays ? first : null,
    refused: refused.sort((a, b) => a.index - b.index).map(({ way, why }) => ({ way, why })),
    limited: work.limited,
  };
}

/** The passage for two harps in one go. */
export function twoHarps(
  passage: Passage,
  options: PlanOptions,
  limits: { readonly ways?: readonly SplitWay[]; readonly work?: number } = {},
): TwoHarpsAnswer {
  const steps = twoHarpsInSteps(passage, options, limits);
  for (;;) {
    const step = steps.next();
    if (step.done === true) return step.value;
  }
}
