/** How many notes a second one hand plays: a line, a placed group, new chords, and what no hand can do. */

import type { Problem, Severity } from '../../base/problem';
import type { Hand } from '../../music/passage';
import type { Limit } from '../limits';
import { type Group, firstIndex, lowOf, stringsOf } from '../passage-index';
import { HAND_NAMES, type Rule, type RuleInput, idsOf, milliRate, musicProblem, perSecond } from '../rule';
import { type Run, joinRuns } from '../runs';

/** Strings after the first onset that make a rate no fingers can have been placed for beforehand: a hand has four. */
const BEYOND_PLACED = 5;
/** Onsets after the first in a placed group of four. */
const GROUP = 3;
/** Onsets after the first that cannot be one placed group: a line, when nothing breaks it. */
const LINE = 5;
/** Onsets after the first over which breaks (for the other hand) count in. */
const LONG_LINE = 8;
const CHORD = 4;

const at = (groups: readonly Group[], i: number): number => (groups[i] as Group).at;

/** Strings a second, over the shortest stretch with at least five strings after the first onset. */
function stringRuns(groups: readonly Group[], counts: readonly number[], limit: number): Run[] {
  const runs: Run[] = [];
  for (let i = 0; i < groups.length - 1; i++) {
    let n = 0;
    let j = i;
    while (n < BEYOND_PLACED && j + 1 < groups.length) n += counts[++j] as number;
    if (n < BEYOND_PLACED) break;
    const rate = milliRate(n, at(groups, j) - at(groups, i));
    if (rate > limit) runs.push({ from: i, to: j, worst: rate });
  }
  return runs;
}

/** No gap is longer than twice the shortest: the hand has no time to travel. */
function unbroken(groups: readonly Group[], from: number, to: number): boolean {
  let [short, long] = [Infinity, 0];
  for (let i = from; i < to; i++) {
    const gap = at(groups, i + 1) - at(groups, i);
    short = Math.min(short, gap);
    long = Math.max(long, gap);
  }
  return long <= 2 * short;
}

function lineRuns(groups: readonly Group[], limit: number): Run[] {
  const runs: Run[] = [];
  for (const n of [LINE, LONG_LINE]) {
    for (let i = 0; i + n < groups.length; i++) {
      const rate = milliRate(n, at(groups, i + n) - at(groups, i));
      if (rate > limit && (n === LONG_LINE || unbroken(groups, i, i + n)))
        runs.push({ from: i, to: i + n, worst: rate });
    }
  }
  return runs.sort((a, b) => a.from - b.from || a.to - b.to);
}

/** Four single notes in one direction: placed together. */
function groupRuns(groups: readonly Group[], counts: readonly number[], limit: number): Run[] {
  const runs: Run[] = [];
  for (let i = 0; i + GROUP < groups.length; i++) {
    const rate = milliRate(GROUP, at(groups, i + GROUP) - at(groups, i));
    if (rate <= limit || !counts.slice(i, i + GROUP + 1).every((n) => n === 1)) continue;
    const steps = [0, 1, 2].map((k) =>
      Math.sign(lowOf(groups[i + k + 1] as Group) - lowOf(groups[i + k] as Group)),
    );
    if (steps.every((s) => s !== 0 && s === steps[0])) runs.push({ from: i, to: i + GROUP, worst: rate });
  }
  return runs;
}

function chordRuns(groups: readonly Group[], counts: readonly number[], limit: number): Run[] {
  const runs: Run[] = [];
  for (let i = 1; i < groups.length; i++) {
    if ((counts[i - 1] as number) < CHORD || (counts[i] as number) < CHORD) continue;
    const rate = milliRate(1, at(groups, i) - at(groups, i - 1));
    if (rate > limit) runs.push({ from: i - 1, to: i, worst: rate });
  }
  return runs;
}

/** Runs that lie inside none of the others: what is an error is not said again as a warning. */
function outside(runs: readonly Run[], others: readonly Run[]): Run[] {
  const sorted = [...others].sort((a, b) => a.from - b.from);
  // How far the others reach that begin no later than each of them.
  const reach: number[] = [];
  for (const o of sorted) reach.push(Math.max(o.to, reach.at(-1) ?? -1));
  return runs.filter((r) => {
    const begun = firstIndex(sorted.length, (i) => (sorted[i] as Run).from > r.from);
    return begun === 0 || (reach[begun - 1] as number) < r.to;
  });
}

/** Runs that share no more than an end with any of the others. What cannot be done at all is not also a fast line. */
function apart(runs: readonly Run[], others: readonly Run[]): Run[] {
  return runs.filter((r) => {
    // The others, joined, lie one after another: the first that ends inside this run or later tells.
    const o = others[firstIndex(others.length, (i) => (others[i] as Run).to > r.from)];
    return o === undefined || o.from >= r.to;
  });
}

function speedProblem(
  severity: Severity,
  limit: Limit,
  unit: string,
  worst: number,
  inside: readonly Group[],
  detail: Readonly<Record<string, string>>,
): Problem {
  return musicProblem(
    'hand-speed',
    severity,
    (inside[0] as Group).onset,
    inside.flatMap((g) => idsOf(g.strikes)),
    { value: perSecond(worst), limit: perSecond(limit.value), unit, source: limit.source },
    detail,
  );
}

interface Hands {
  readonly problems: Problem[];
  /** Onsets that already have a remark. */
  readonly said: ReadonlySet<number>;
}

/** Those of which it is not so, and those of which it is. */
function parted<T>(items: readonly T[], test: (item: T) => boolean): readonly [T[], T[]] {
  return [items.filter((x) => !test(x)), items.filter(test)];
}

/**
 * A line of single notes at a tempo that nobody wrote, while the other hand is free from one placing before to the
 * end: printed for one hand, played by both, if the two together stay within what two hands do.
 */
function isShared({ planned, index, limits }: RuleInput, hand: Hand, run: Run): boolean {
  if (planned.passage.tempo.length > 0 || run.worst > 2 * limits.handStrings.value) return false;
  const inside = index.hands[hand].slice(run.from, run.to + 1);
  if (inside.some((g) => g.strikes.length > 1)) return false;
  const from = at(inside, 0) - limits.placing.value;
  const to = at(inside, inside.length - 1);
  const other = index.hands[hand === 'R' ? 'L' : 'R'];
  const next = other[firstIndex(other.length, (i) => at(other, i) > from)];
  return next === undefined || next.at > to;
}

function checkHand(input: RuleInput, hand: Hand): Hands {
  const { index, limits } = input;
  const groups = index.hands[hand];
  const counts = groups.map((g) => stringsOf(g.strikes).length);
  const said = new Set<number>();
  const say = (
    kind: string,
    severity: Severity,
    limit: Limit,
    unit: string,
    runs: readonly Run[],
  ): Problem[] =>
    runs.map((run) => {
      const inside = groups.slice(run.from, run.to + 1);
      for (const g of inside) said.add(g.onset);
      return speedProblem(severity, limit, unit, run.worst, inside, { hand: HAND_NAMES[hand], kind });
    });
  const hard = joinRuns(stringRuns(groups, counts, limits.handStrings.value));
  const [cannot, shared] = parted(hard, (run) => isShared(input, hand, run));
  const line = joinRuns(apart(lineRuns(groups, limits.handLine.value), hard));
  const chords = outside(joinRuns(chordRuns(groups, counts, limits.handChords.value)), hard);
  const group = outside(joinRuns(groupRuns(groups, counts, limits.handGroup.value)), [...hard, ...line]);
  const problems = [
    ...say('strings', 'error', limits.handStrings, 'strings/s', cannot),
    ...say('shared', 'warning', limits.handStrings, 'strings/s', shared),
    ...say('line', 'warning', limits.handLine, 'notes/s', line),
    ...say('chords', 'warning', limits.handChords, 'chords/s', chords),
    ...say('group', 'warning', limits.handGroup, 'notes/s', group),
  ];
  return { problems, said };
}

/** Both hands together in one line: single notes from hand to hand, as an arpeggio or as a scale. */
function checkBoth({ index, limits }: RuleInput, said: ReadonlySet<number>): Problem[] {
  const groups = index.onsets;
  const runs: (Run & { readonly scale: boolean })[] = [];
  for (let i = 0; i + LONG_LINE < groups.length; i++) {
    const rate = milliRate(LONG_LINE, at(groups, i + LONG_LINE) - at(groups, i));
    if (rate <= limits.bothScale.value) continue;
    const inside = groups.slice(i, i + LONG_LINE + 1);
    if (inside.some((g) => g.strikes.length > 1 || said.has(g.onset))) continue;
    if (new Set(inside.map((g) => g.strikes[0]?.hand)).size < 2) continue;
    const scale = inside.every((g, k) => k === 0 || Math.abs(lowOf(g) - lowOf(inside[k - 1] as Group)) === 1);
    const limit = scale ? limits.bothScale : limits.bothArpeggio;
    if (rate > limit.value) runs.push({ from: i, to: i + LONG_LINE, worst: rate, scale });
  }
  return [true, false].flatMap((scale) =>
    joinRuns(runs.filter((r) => r.scale === scale)).map((run) =>
      speedProblem(
        'warning',
        scale ? limits.bothScale : limits.bothArpeggio,
        'notes/s',
        run.worst,
        groups.slice(run.from, run.to + 1),
        { kind: scale ? 'both-scale' : 'both' },
      ),
    ),
  );
}

export const rule: Rule = {
  code: 'hand-speed',
  source: 'common practice',
  check(input) {
    const hands = [checkHand(input, 'R'), checkHand(input, 'L')];
    const said = new Set(hands.flatMap((h) => [...h.said]));
    return [...hands.flatMap((h) => h.problems), ...checkBoth(input, said)];
  },
};
