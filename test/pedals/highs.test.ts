// An outside judge: the optimum of the planner against a mixed-integer programme of the same page, solved by HiGHS.
import loadHighs from 'highs';
import { describe, expect, it } from 'vitest';
import { type Random, seededRandom } from '../../src/base/random';
import { PEDALS, SETTING_COUNT, positionOf } from '../../src/harp/setting';
import { CONCERT_HARP } from '../../src/harp/instrument';
import type { Passage, Tremble } from '../../src/music/passage';
import { harpSpellings, midiOf } from '../../src/music/pitch';
import { defaultPlanOptions, planPassage } from '../../src/pedals/plan';
import type { PlanAnswer, PlanOptions } from '../../src/pedals/types';
import { type MilpRates, milpText } from './milp';
import { randomPassage } from './random-passage';

/** In aim fewest moves decide; what breaks ties is judged by brute force (price.test.ts). */
const MOVES: MilpRates = { move: 1, second: 0, respelt: 0 };

/** Tempi at which 0.25 s is a whole number of grid steps: step in ticks, steps in 0.25 s. */
const TEMPI = {
  easy: [
    { milliBpm: 60_000, step: 840, gap: 1 },
    { milliBpm: 90_000, step: 420, gap: 3 },
  ],
  tight: [
    { milliBpm: 180_000, step: 840, gap: 3 },
    { milliBpm: 240_000, step: 840, gap: 4 },
    { milliBpm: 150_000, step: 420, gap: 5 },
  ],
} as const;

const priced = (answer: PlanAnswer): number | null =>
  answer.status === 'unplayable' ? null : answer.price.moves;

/** Now and then: both strings of one pitch at once, a chord turned into a tremble, notes on the discless strings. */
function varied(random: Random, passage: Passage): Passage {
  let out = passage;
  const first = random.pick(out.plucks.length === 0 ? [null] : out.plucks);
  if (first !== null && random.chance(1, 5)) {
    const twin = harpSpellings(midiOf(first.pitch)).find((p) => p.letter !== first.pitch.letter);
    if (twin !== undefined) {
      const plucks = [...out.plucks, { ...first, id: 'twin', pitch: twin, fixed: false }];
      out = { ...out, plucks: plucks.sort((a, b) => a.onset - b.onset) };
    }
  }
  if (first !== null && random.chance(1, 5)) {
    const notes = out.plucks.filter((p) => p.onset === first.onset);
    const tremble: Tremble = { ...first, id: 't', notes: notes.map((n) => ({ ...n, hand: 'L' as const })) };
    out = { ...out, plucks: out.plucks.filter((p) => p.onset !== first.onset), trembles: [tremble] };
  }
  return out;
}

const highs = await loadHighs();
/** The least moves, a whole number, so that a bound less than one away proves it. Null where nothing is feasible. */
function solved(text: string): number | null {
  const result = highs.solve(text, { output_flag: false, mip_rel_gap: 0, mip_abs_gap: 0.99 });
  if (result.Status === 'Infeasible') return null;
  if (result.Status !== 'Optimal') throw new Error(`the judge ended with ${result.Status}`);
  return Math.round(result.ObjectiveValue);
}

/** More with an environment variable, for a long evening. */
const COUNT = Number(process.env['HIGHS_PASSAGES'] ?? 20);

interface Question {
  readonly passage: Passage;
  readonly options: PlanOptions;
  readonly tempo: (typeof TEMPI)['easy' | 'tight'][number];
}
function drawn(random: Random, i: number, tight: boolean): Question {
  const tempo = random.pick<Question['tempo']>(tight ? TEMPI.tight : TEMPI.easy);
  const passage = varied(
    random,
    randomPassage(random, {
      onsets: 3 + random.below(COUNT > 20 && i % 5 === 0 ? 22 : 5),
      most: tight ? 4 : 3,
      milliBpm: tempo.milliBpm,
      sweeps: random.chance(1, 3),
      keys: random.chance(1, 5) ? [24, 14] : [48, 36],
    }),
  );
  const options: PlanOptions = {
    ...defaultPlanOptions,
    start: random.chance(1, 3) ? random.below(SETTING_COUNT) : null,
    end: random.chance(1, 5) ? random.below(SETTING_COUNT) : null,
    keepSpelling: random.chance(1, 6),
  };
  const letter = random.pick(PEDALS);
  const stands = positionOf(options.start ?? options.end ?? random.below(SETTING_COUNT), letter);
  const free = options.end === null || positionOf(options.end, letter) === stands;
  const locked = free && random.chance(1, 4) ? { locked: { [letter]: stands } } : {};
  return { passage, options: { ...options, ...locked }, tempo };
}

/** Tight: slowed down to a twentieth, it costs less, or can be played at all. Only a choice of what to ask. */
function bites({ passage, options }: Question, refused: boolean): boolean {
  const tempo = passage.tempo.map((t) => ({ ...t, milliBpm: Math.floor(t.milliBpm / 20) }));
  const [fast, slow] = [passage, { ...passage, tempo }].map((p) =>
    planPassage(p, { ...options, aim: 'fewest' }),
  );
  if (fast === undefined || slow?.status !== 'optimal') return false;
  if (refused || fast.status === 'unplayable') return refused && fast.status === 'unplayable';
  return priced(fast) !== priced(slow);
}

describe('against a mixed-integer programme', () => {
  it(`has the same optimum on ${COUNT} seeded passages, half of them tight in time`, { timeout: 6e6 }, () => {
    const random = seededRandom('an outside judge');
    const seen = { refused: 0, timed: 0, moved: 0 };
    for (let i = 0; i < COUNT; i++) {
      let asked = drawn(random, i, i % 2 === 1);
      if (i % 2 === 1) while (!bites(asked, i % 10 === 9)) asked = drawn(random, i, true);
      const { passage, options, tempo } = asked;
      const question = { passage, ...options, ...tempo, discless: CONCERT_HARP.discless };
      const untimed = solved(milpText({ ...question, gap: 0, rates: MOVES }));
      const judged = solved(milpText({ ...question, rates: MOVES }));
      for (const aim of ['fewest', 'practical'] as const) {
        const answer = planPassage(passage, { ...options, aim });
        // What is playable is the same in both aims; the practical one may pay a move to save more elsewhere.
        if (aim === 'fewest') expect([i, priced(answer)]).toEqual([i, judged]);
        else {
          expect([i, answer.status === 'unplayable']).toEqual([i, judged === null]);
          expect(priced(answer) ?? 0).toBeGreaterThanOrEqual(judged ?? 0);
        }
        if (answer.status === 'unplayable') seen.refused++;
        else {
          expect([i, answer.lowerBound]).toEqual([i, untimed]);
          if (aim === 'fewest') expect([i, answer.status]).toEqual([i, 'optimal']);
          if (answer.price.moves > 0) seen.moved++;
          if (i % 2 === 1) seen.timed++;
        }
      }
    }
    expect(seen.moved).toBeGreaterThan(COUNT / 2);
    expect(seen.refused).toBeGreaterThan(0);
    expect(seen.timed).toBeGreaterThan(0);
  });
});
