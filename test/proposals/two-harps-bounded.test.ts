// Long and dense music for two harps: the work is counted and bounded, progress told, and what is offered still holds.
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random';
import { NATURAL_SETTING } from '../../src/harp/setting';
import { defaultPlanOptions, planPassage } from '../../src/pedals/plan';
import { validatePlan } from '../../src/pedals/validate';
import { judge } from '../../src/playability/judge';
import { isQuick, quickPlan } from '../../src/proposals/quick-plan';
import { twoHarps, twoHarpsInSteps } from '../../src/proposals/two-harps';
import { partOf } from '../../src/proposals/two-harps-divide';
import { randomPassage } from '../pedals/random-passage';

/** A chromatic study: 300 onsets of one to three notes. */
const dense = randomPassage(seededRandom('dense study'), {
  onsets: 300,
  most: 3,
  milliBpm: 90_000,
  gaps: [5, 7],
});

describe('a quick plan', () => {
  it('holds by the independent judge, and is never cheaper than the least', () => {
    const random = seededRandom('quick plans');
    let [made, as] = [0, 0];
    for (let i = 0; i < 40; i++) {
      const passage = randomPassage(random, { onsets: 10, most: 3, milliBpm: 72_000, gaps: [4, 8] });
      const options = { ...defaultPlanOptions, start: i % 3 === 0 ? NATURAL_SETTING : null };
      expect(isQuick(passage, options)).toBe(true);
      const quick = quickPlan(passage, options);
      const least = planPassage(passage, { ...options, aim: 'fewest' });
      if ('lost' in quick) {
        expect(quick.lost.length).toBeGreaterThan(0);
        continue;
      }
      made++;
      const verdict = validatePlan(passage, quick.planned, options);
      expect(verdict.faults).toEqual([]);
      expect(verdict.price.moves).toBe(quick.price.moves);
      if (least.status === 'unplayable') throw new Error('the planner finds what the quick search finds');
      expect(quick.price.moves).toBeGreaterThanOrEqual(least.price.moves);
      if (quick.price.moves === least.price.moves) as++;
    }
    expect(made).toBeGreaterThan(25);
    expect(as).toBeGreaterThan(10);
  });

  it('is not asked for where sweeps, locked pedals or an end are', () => {
    const swept = randomPassage(seededRandom('swept'), {
      onsets: 12,
      most: 2,
      milliBpm: 72_000,
      sweeps: true,
    });
    if (swept.sweeps.length === 0) throw new Error('a sweep was wanted');
    expect(isQuick(swept, defaultPlanOptions)).toBe(false);
    const plain = { ...swept, sweeps: [] };
    expect(isQuick(plain, { ...defaultPlanOptions, end: NATURAL_SETTING })).toBe(false);
    expect(isQuick(plain, { ...defaultPlanOptions, locked: { D: 0 } })).toBe(false);
  });
});

describe('a dense study for two harps', () => {
  it('is bounded, says so, tells its progress, and offers what plans, validates and passes the rules', () => {
    const steps = twoHarpsInSteps(dense, defaultPlanOptions, { work: 1_400_000 });
    const shares: number[] = [];
    let step = steps.next();
    for (; step.done !== true; step = steps.next()) shares.push(step.value);
    const answer = step.value;
    expect(shares.length).toBeGreaterThan(10);
    expect([...shares].sort((a, b) => a - b)).toEqual(shares);
    expect(shares.every((s) => s >= 0 && s < 1)).toBe(true);
    expect(answer.limited).toBe(true);
    expect(answer.splits.length + answer.refused.length).toBeGreaterThanOrEqual(9);
    for (const split of answer.splits) {
      split.harps.forEach((harp, h) => {
        const asked = partOf(dense, split.division, h === 0 ? 0 : 1);
        expect(validatePlan(asked, harp.planned, defaultPlanOptions).faults).toEqual([]);
        expect(judge(harp.planned).filter((p) => p.severity === 'error')).toEqual([]);
      });
      expect(split.moves).toBe(split.harps[0].price.moves + split.harps[1].price.moves);
    }
    expect(answer.splits.length).toBeGreaterThan(0);
    expect(twoHarps(dense, defaultPlanOptions, { work: 1_400_000 })).toEqual(answer);
  });

  it('says with no work at all that nothing was looked at', () => {
    const { splits, limited, refused } = twoHarps(dense, defaultPlanOptions, { work: 0 });
    expect([splits.length, limited]).toEqual([0, true]);
    expect(new Set(refused.map((r) => r.why))).toEqual(new Set(['limit']));
  });
});
