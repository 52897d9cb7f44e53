/** What tires when it goes on without a break: trembles, octaves, étouffés, harmonics, loud top notes, fast playing. */

import type { Problem } from '../../base/problem';
import type { Dynamic } from '../../music/passage';
import type { Bar } from '../../music/metre';
import type { Limit } from '../limits';
import { type Group, endOf, firstIndex, stringsOf } from '../passage-index';
import { HAND_NAMES, type Rule, type RuleInput, musicProblem, toSeconds } from '../rule';
import { spanOf } from '../chords';
import { isOctave } from './octaves';
import type { Ticks } from '../../base/units';

const LOUD: readonly Dynamic[] = ['f', 'ff', 'fff'];
const OCTAVE = 7;
/** Octaves further apart than this let the hand rest between (common practice). */
const BREATH = 1_250_000;

/** Something that goes on for a while. */
interface Effort {
  readonly onset: Ticks;
  readonly from: number;
  readonly to: number;
  readonly ids: readonly string[];
}

const effort = (g: Group, until: number): Effort => ({
  onset: g.onset,
  from: g.at,
  to: until,
  ids: g.strikes.map((s) => s.id),
});

/** Efforts with less than a rest between them are one stretch. */
function stretches(efforts: readonly Effort[], rest: number): Effort[][] {
  const out: Effort[][] = [];
  for (const e of efforts) {
    const open = out.at(-1);
    const last = open?.at(-1);
    if (open !== undefined && last !== undefined && e.from - last.to < rest) open.push(e);
    else out.push([e]);
  }
  return out;
}

/** Bars inside a stretch where a rest would help: wherever the limit has passed since its start or the last such bar. */
function restBars({ planned, index }: RuleInput, from: number, to: number, limit: number): string[] {
  const { bars } = planned.passage;
  const out: string[] = [];
  for (let at = from + limit; at < to && bars.length > 0; at += limit) {
    const next = firstIndex(bars.length, (i) => index.microsAt((bars[i] as Bar).start) > at);
    const { number } = bars[Math.max(0, next - 1)] as Bar;
    if (out.at(-1) !== number) out.push(number);
  }
  return out;
}

/** A remark on each stretch that lasts longer than its limit. */
function tooLong(
  input: RuleInput,
  kind: string,
  limit: Limit,
  all: readonly (readonly Effort[])[],
  hand?: 'R' | 'L',
): Problem[] {
  return all.flatMap((stretch) => {
    const [first, last] = [stretch[0] as Effort, stretch.at(-1) as Effort];
    const length = last.to - first.from;
    if (length <= limit.value) return [];
    const rests = restBars(input, first.from, last.to, limit.value);
    const found = {
      value: toSeconds(length),
      limit: toSeconds(limit.value),
      unit: 's',
      source: limit.source,
    };
    const ids = stretch.flatMap((e) => e.ids);
    return [
      musicProblem('stamina', 'warning', first.onset, ids, found, {
        kind,
        ...(hand === undefined ? {} : { hand: HAND_NAMES[hand] }),
        ...(rests.length === 0 ? {} : { rests: rests.join(', ') }),
      }),
    ];
  });
}

/** Groups of a hand (or of both) that pass a test; each lasts to the next onset of its list, one second at most. */
function lasting(groups: readonly Group[], test: (g: Group, i: number) => boolean): Effort[] {
  return groups.flatMap((g, i) => {
    if (!test(g, i)) return [];
    const next = groups[i + 1]?.at ?? g.at;
    return [effort(g, Math.min(next, g.at + 1_000_000))];
  });
}

/** Groups that pass a test and follow each other without another between, nor more than a breath. */
function rows(groups: readonly Group[], test: (g: Group) => boolean): Effort[][] {
  const out: Effort[][] = [];
  let open: Effort[] = [];
  for (const g of groups) {
    const last = open.at(-1);
    if (last === undefined || !test(g) || g.at - last.from > BREATH) open = [];
    if (!test(g)) continue;
    if (open.length === 0) out.push(open);
    open.push(effort(g, g.at));
  }
  return out;
}

/** Onsets around which both hands together pluck fast: the strings of the second that begins there. */
function fast({ index, limits }: RuleInput): Effort[] {
  const groups = index.onsets;
  const counts = groups.map((g) => stringsOf(g.strikes).length);
  let [end, sum] = [0, 0];
  return lasting(groups, (g, i) => {
    if (i > 0) sum -= counts[i - 1] as number;
    while (end < groups.length && (groups[end] as Group).at < g.at + 1_000_000)
      sum += counts[end++] as number;
    return sum * 1000 > limits.fastBoth.value;
  });
}

export const rule: Rule = {
  code: 'stamina',
  source: 'Harp Legacy Project, typical compositional issues; common practice',
  check(input) {
    const { index, limits, planned } = input;
    const rested = (efforts: readonly Effort[]) => stretches(efforts, limits.rest.value);
    const trembles = [...planned.passage.trembles]
      .sort((a, b) => a.onset - b.onset)
      .map((t) => ({
        onset: t.onset,
        from: index.microsAt(t.onset),
        to: index.microsAt(endOf(t)),
        ids: [t.id],
      }));
    const out = tooLong(input, 'bisbigliando', limits.longTremble, rested(trembles));
    for (const hand of ['R', 'L'] as const) {
      const groups = index.hands[hand];
      const octaves = rows(groups, isOctave);
      const wide = rows(groups, (g) => {
        const span = spanOf(stringsOf(g.strikes));
        return span > OCTAVE && span <= limits.span.value;
      });
      const all = (technique: string) =>
        lasting(groups, (g) => g.strikes.every((s) => s.technique === technique));
      out.push(
        ...tooLong(input, 'octaves', limits.longOctaves, octaves, hand),
        ...tooLong(input, 'stretches', limits.longOctaves, wide, hand),
        ...tooLong(input, 'etouffes', limits.longEtouffes, rested(all('etouffe')), hand),
        ...tooLong(input, 'harmonics', limits.longHarmonics, rested(all('harmonic')), hand),
      );
    }
    const top = lasting(index.onsets, (g) =>
      g.strikes.some((s) => s.string >= limits.forcedFrom.value && LOUD.includes(s.pluck.dynamic)),
    );
    return [
      ...out,
      ...tooLong(input, 'top', limits.longTop, rested(top)),
      ...tooLong(input, 'fast', limits.longFast, rested(fast(input))),
    ];
  },
};
