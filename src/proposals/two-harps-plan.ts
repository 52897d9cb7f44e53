/** The plans of a division between two harps, quick and exact, in counted work; notes given across where that helps. */

import type { Problem } from '../base/problem';
import type { PlannedPassage } from '../harp/planned';
import type { Passage } from '../music/passage';
import { diatonicIndex } from '../music/pitch';
import { planPassage } from '../pedals/plan';
import type { PedalPrice, PlanAnswer, PlanOptions } from '../pedals/types';
import { assignHands } from '../playability/hands';
import { judge } from '../playability/judge';
import { exactSteps, onsetsOf } from './plan-steps';
import { isQuick, quickPlan } from './quick-plan';
import { type Division, type SplitWay, isEmpty, partOf } from './two-harps-divide';

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

/** Of which one harp's own plan may take. */
export const FOR_ONE = 1_500_000;
/** Steps, measured: a quick plan an onset; a judged note; a note whose hand is searched. */
const STEPS = { quick: 150, judged: 30, handed: 150 } as const;
/** Rounds in which notes go to the other harp, until none is wrong or the rounds are over. */
const ROUNDS = 6;
/** More notes than these at once are another way of dividing. */
const MOST_ACROSS = 24;

const handSteps = (p: Passage): number => p.plucks.length * (2 * STEPS.judged + STEPS.handed);

export class Work {
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
export function withHands(planned: PlannedPassage): { planned: PlannedPassage; problems: Problem[] } {
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
export interface Candidate {
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
export function quickly(
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
export function settled(passage: Passage, asked: Candidate, options: PlanOptions, work: Work): Candidate {
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
export function make(
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

export const sumOf = (a: PedalPrice, b: PedalPrice): { moves: number; points: number } => ({
  moves: a.moves + b.moves,
  points: a.points + b.points,
});

/** What decides between splits: moves and then points in the aim `fewest`, else the other way round. */
export const worth = (s: { moves: number; points: number }, options: PlanOptions): [number, number] =>
  options.aim === 'fewest' ? [s.moves, s.points] : [s.points, s.moves];
export const better = (a: readonly [number, number], b: readonly [number, number]): boolean =>
  a[0] < b[0] || (a[0] === b[0] && a[1] < b[1]);

export type Cost = { readonly moves: number; readonly points: number };

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

export function oneHarp(passage: Passage, options: PlanOptions, work: Work): PlanAnswer {
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
