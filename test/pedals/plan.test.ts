// Pedal plans against brute force, on short seeded passages half of which are tight in time.
import { describe, expect, it } from 'vitest';
import { type Random, seededRandom } from '../../src/base/random';
import { defaultPlanOptions, planPassage } from '../../src/pedals/plan';
import type { PlanOptions } from '../../src/pedals/types';
import { validatePlan } from '../../src/pedals/validate';
import { leastMovesByForce } from './brute';
import { type PassageShape, randomPassage } from './random-passage';

const fewest: PlanOptions = { ...defaultPlanOptions, aim: 'fewest' };

interface Tally {
  playable: number;
  /** Plans that time makes dearer than the untimed least. */
  bitten: number;
  refused: number;
}

/** Plans seeded passages, compares each with brute force, and counts how they came out. */
function compare(
  seed: string,
  cases: number,
  shapeOf: (random: Random) => PassageShape,
  mustSettle = false,
): Tally {
  const random = seededRandom(seed);
  const tally = { playable: 0, bitten: 0, refused: 0 };
  for (let i = 0; i < cases; i++) {
    const passage = randomPassage(random, shapeOf(random));
    const start = random.chance(1, 3) ? random.below(2187) : null;
    const end = random.chance(1, 6) ? random.below(2187) : null;
    const keepSpelling = random.chance(1, 8);
    const options = { ...fewest, start, end, keepSpelling, ...(mustSettle ? { mustSettle } : {}) };
    const settle = mustSettle ? options.times.settle : 0;
    const answer = planPassage(passage, options);
    const least = leastMovesByForce(passage, start, end, keepSpelling, settle);
    if (answer.status === 'unplayable') {
      expect([i, least]).toEqual([i, null]);
      expect(answer.conflict.length).toBeGreaterThan(0);
      tally.refused++;
      continue;
    }
    expect([i, answer.price.moves, answer.status]).toEqual([i, least, 'optimal']);
    const verdict = validatePlan(passage, answer.planned, options);
    expect([i, verdict.faults]).toEqual([i, []]);
    expect(verdict.price).toEqual(answer.price);
    expect(answer.lowerBound).toBeLessThanOrEqual(answer.price.moves);
    tally.playable++;
    if (answer.lowerBound < answer.price.moves) tally.bitten++;
  }
  return tally;
}

describe('planPassage, fewest, against brute force', () => {
  it('needs the same number of moves in 500 seeded passages', () => {
    const tally = compare('brute force', 500, (random) => ({
      onsets: 3 + random.below(4),
      most: 2,
      milliBpm: random.pick([60_000, 96_000, 132_000, 168_000, 208_000]),
      sweeps: random.chance(1, 3),
    }));
    expect(tally.playable).toBeGreaterThan(300);
    expect(tally.refused).toBeGreaterThan(20);
  });
  it('needs the same number of moves in 700 that are tight in time', () => {
    const tally = compare('tight', 700, (random) => ({
      onsets: 7,
      most: random.pick([1, 2]),
      milliBpm: random.pick([75_000, 120_000, 150_000]),
      gaps: [1, 1, 1, 2],
      keys: random.pick([
        [58, 16],
        [48, 36],
      ] as const),
      fixedIn: random.pick([4, 40]),
    }));
    expect(tally.playable).toBeGreaterThan(400);
    expect(tally.bitten).toBeGreaterThan(3);
    expect(tally.refused).toBeGreaterThan(50);
  });
  it('needs the same number of moves in 400 where every pedal must settle', () => {
    const tally = compare(
      'settled',
      400,
      (random) => ({
        onsets: 5,
        most: random.pick([1, 2]),
        milliBpm: random.pick([75_000, 120_000, 150_000, 208_000]),
        gaps: [1, 1, 1, 2],
        keys: random.pick([
          [58, 16],
          [48, 36],
        ] as const),
        fixedIn: random.pick([4, 40]),
        sweeps: random.chance(1, 4),
      }),
      true,
    );
    expect(tally.playable).toBeGreaterThan(150);
    expect(tally.refused).toBeGreaterThan(20);
  });
});
