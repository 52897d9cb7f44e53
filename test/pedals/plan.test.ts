// Pedal plans against brute force, on short seeded passages half of which are tight in time.
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random';
import { type PlanOptions } from '../../src/pedals/types';
import { defaultPlanOptions, planPassage } from '../../src/pedals/plan';
import { validatePlan } from '../../src/pedals/validate';
import { leastMovesByForce } from './brute';
import { randomPassage } from './random-passage';

const fewest: PlanOptions = { ...defaultPlanOptions, aim: 'fewest' };

describe('planPassage, fewest, against brute force', () => {
  const cases = 500;
  it(`needs the same number of moves in ${cases} seeded passages`, () => {
    const random = seededRandom('brute force');
    let [playable, bitten, refused] = [0, 0, 0];
    for (let i = 0; i < cases; i++) {
      const passage = randomPassage(random, {
        onsets: 3 + random.below(4),
        most: 2,
        milliBpm: random.pick([60_000, 96_000, 132_000, 168_000, 208_000]),
        sweeps: random.chance(1, 3),
      });
      const start = random.chance(1, 4) ? random.below(2187) : null;
      const end = random.chance(1, 6) ? random.below(2187) : null;
      const keepSpelling = random.chance(1, 8);
      const options = { ...fewest, start, end, keepSpelling };
      const answer = planPassage(passage, options);
      const least = leastMovesByForce(passage, start, end, keepSpelling);
      if (answer.status === 'unplayable') {
        expect([i, least]).toEqual([i, null]);
        refused++;
        continue;
      }
      expect([i, answer.price.moves, answer.status]).toEqual([i, least, 'optimal']);
      const verdict = validatePlan(passage, answer.planned, options);
      expect([i, verdict.faults]).toEqual([i, []]);
      expect(verdict.price).toEqual(answer.price);
      expect(answer.lowerBound).toBeLessThanOrEqual(answer.price.moves);
      playable++;
      if (answer.lowerBound < answer.price.moves) bitten++;
    }
    console.info({ playable, bitten, refused });
    expect(playable).toBeGreaterThan(cases / 3);
    expect(bitten).toBeGreaterThan(0);
    expect(refused).toBeGreaterThan(0);
  });
});
