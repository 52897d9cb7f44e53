// Properties that any planner of this model must have, on seeded passages, half of them tight in time.
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random';
import { noteTicks, ticks } from '../../src/base/units';
import { finalSetting } from '../../src/harp/planned';
import { PEDALS, positionOf } from '../../src/harp/setting';
import { POINTS } from '../../src/pedals/rates';
import { makeBars } from '../../src/music/metre';
import type { Passage, Pluck } from '../../src/music/passage';
import { defaultPlanOptions, planPassage } from '../../src/pedals/plan';
import type { PlanAnswer, PlanOptions } from '../../src/pedals/types';
import { validatePlan } from '../../src/pedals/validate';
import { passages } from './random-passage';

const fewest: PlanOptions = { ...defaultPlanOptions, aim: 'fewest' };
const movesOf = (a: PlanAnswer): number =>
  a.status === 'unplayable' ? Number.POSITIVE_INFINITY : a.price.moves;

const pointsOf = (a: PlanAnswer): number =>
  a.status === 'unplayable' ? Number.POSITIVE_INFINITY : a.price.points;

const shifted = (p: Passage, by: number): Passage => {
  const move = <T extends { readonly onset: Pluck['onset'] }>(x: T): T => ({
    ...x,
    onset: ticks(x.onset + by),
  });
  const bars = makeBars({ beats: 4, unit: 4 }, p.bars.length + 1);
  return {
    ...p,
    bars,
    plucks: p.plucks.map(move),
    sweeps: p.sweeps.map(move),
    trembles: p.trembles.map(move),
  };
};

describe('metamorphic', () => {
  it('the order of notes at one onset changes nothing', () => {
    const random = seededRandom('order');
    for (const passage of passages('order', 20)) {
      const plucks = random.shuffle(passage.plucks).sort((a, b) => a.onset - b.onset);
      for (const aim of ['fewest', 'practical'] as const) {
        const [a, b] = [
          planPassage(passage, { ...fewest, aim }),
          planPassage({ ...passage, plucks }, { ...fewest, aim }),
        ];
        expect(b.status).toBe(a.status);
        if (a.status === 'unplayable' || b.status === 'unplayable') continue;
        expect(b.price).toEqual(a.price);
        expect(b.planned.moves).toEqual(a.planned.moves);
        expect(b.planned.start).toBe(a.planned.start);
      }
    }
  });
  it('a rest before changes no price when the start is free', () => {
    for (const passage of passages('rest', 40)) {
      const [a, b] = [planPassage(passage, fewest), planPassage(shifted(passage, noteTicks(4, 4)), fewest)];
      expect(b.status).toBe(a.status);
      expect(movesOf(b)).toBe(movesOf(a));
    }
  });
  it('giving the start and end that were found changes no price', () => {
    let compared = 0;
    for (const passage of passages('ends', 60)) {
      const a = planPassage(passage, fewest);
      if (a.status === 'unplayable') continue;
      const given = { ...fewest, start: a.planned.start, end: finalSetting(a.planned) };
      const b = planPassage(passage, given);
      expect(movesOf(b)).toBe(a.price.moves);
      compared++;
    }
    expect(compared).toBeGreaterThan(20);
  });
  it('fixing more never lowers the moves', () => {
    const random = seededRandom('fix');
    for (const passage of passages('fixing', 60)) {
      const fixedSome = {
        ...passage,
        plucks: passage.plucks.map((p) => (random.chance(1, 3) ? { ...p, fixed: true } : p)),
      };
      const [free, some] = [planPassage(passage, fewest), planPassage(fixedSome, fewest)];
      const all = planPassage(passage, { ...fewest, keepSpelling: true });
      expect(movesOf(some)).toBeGreaterThanOrEqual(movesOf(free));
      expect(movesOf(all)).toBeGreaterThanOrEqual(movesOf(some));
    }
  });
  it('a faster tempo never lowers the moves', () => {
    for (const passage of passages('tempo', 40)) {
      let last = 0;
      for (const milliBpm of [30_000, 60_000, 120_000, 240_000, 480_000]) {
        const now = movesOf(planPassage({ ...passage, tempo: [{ onset: ticks(0), milliBpm }] }, fewest));
        expect(now).toBeGreaterThanOrEqual(last);
        last = now;
      }
    }
  });
  it('points: a rest before or after, and the ends that were found, change nothing', () => {
    let compared = 0;
    for (const passage of passages('points', 16, 8)) {
      const a = planPassage(passage, defaultPlanOptions);
      if (a.status !== 'optimal') continue;
      const longer = { ...passage, bars: makeBars({ beats: 4, unit: 4 }, passage.bars.length + 2) };
      const given = { start: a.planned.start, end: finalSetting(a.planned) };
      for (const b of [
        planPassage(longer, defaultPlanOptions),
        planPassage(shifted(passage, noteTicks(4, 4)), defaultPlanOptions),
        planPassage(passage, { ...defaultPlanOptions, start: given.start }),
        planPassage(passage, { ...defaultPlanOptions, ...given }),
      ]) {
        expect(pointsOf(b)).toBe(a.price.points);
        compared++;
      }
    }
    expect(compared).toBeGreaterThan(30);
  });
  it('points: a faster tempo never lowers them', () => {
    for (const passage of passages('tempo points', 10, 8)) {
      let last = 0;
      for (const milliBpm of [40_000, 80_000, 160_000, 320_000]) {
        const now = planPassage({ ...passage, tempo: [{ onset: ticks(0), milliBpm }] }, defaultPlanOptions);
        if (now.status === 'planned') break;
        expect(pointsOf(now)).toBeGreaterThanOrEqual(last);
        last = pointsOf(now);
      }
    }
  });
  it('points: fixing more never lowers them', () => {
    const random = seededRandom('fix points');
    for (const passage of passages('fixing points', 16, 8)) {
      const some = passage.plucks.map((p) => (random.chance(1, 3) ? { ...p, fixed: true } : p));
      const [free, more, all] = [
        planPassage(passage, defaultPlanOptions),
        planPassage({ ...passage, plucks: some }, defaultPlanOptions),
        planPassage(passage, { ...defaultPlanOptions, keepSpelling: true }),
      ];
      // A plan that is not proven may cost more than it must.
      if (free.status === 'planned' || more.status === 'planned' || all.status === 'planned') continue;
      expect(pointsOf(more)).toBeGreaterThanOrEqual(pointsOf(free));
      expect(pointsOf(all)).toBeGreaterThanOrEqual(pointsOf(more));
    }
  });
  it('points: a passage played twice costs at most twice, and the way back', () => {
    let compared = 0;
    for (const passage of passages('twice', 12, 6)) {
      const once = planPassage(passage, defaultPlanOptions);
      if (once.status !== 'optimal') continue;
      // Two bars of rest to join them: the strings have faded, and every pedal has time.
      const by = noteTicks(passage.bars.length + 4, 1);
      const again = shifted(passage, by);
      const rename = <T extends { readonly id: string }>(x: T): T => ({ ...x, id: `${x.id}'` });
      const twice: Passage = {
        ...passage,
        bars: makeBars({ beats: 4, unit: 4 }, 2 * passage.bars.length + 6),
        plucks: [...passage.plucks, ...again.plucks.map(rename)],
        sweeps: [...passage.sweeps, ...again.sweeps.map(rename)],
      };
      const both = planPassage(twice, defaultPlanOptions);
      const { start } = once.planned;
      const back = PEDALS.filter((l) => positionOf(finalSetting(once.planned), l) !== positionOf(start, l));
      // A pedal that goes back by itself, on the beat: a move, a position more, a gesture, and at most a reach.
      const way = back.length * (POINTS.move + POINTS.second + POINTS.gesture + 2 * POINTS.reach);
      expect(pointsOf(both)).toBeLessThanOrEqual(2 * once.price.points + way);
      compared++;
    }
    expect(compared).toBeGreaterThan(5);
  });
  it('a spent work limit is said, and the plan still keeps every rule', () => {
    let planned = 0;
    for (const passage of passages('limit', 10, 40)) {
      const asked = { ...passage, tempo: [{ onset: ticks(0), milliBpm: 100_000 }] };
      const [a, b] = [
        planPassage(asked, { ...defaultPlanOptions, workLimit: 1 }),
        planPassage(asked, defaultPlanOptions),
      ];
      if (a.status === 'unplayable' || b.status === 'unplayable') continue;
      if (a.status === 'planned') planned++;
      expect(validatePlan(asked, a.planned, fewest).faults).toEqual([]);
      expect(a.price.points).toBeGreaterThanOrEqual(b.price.points);
    }
    expect(planned).toBeGreaterThan(0);
  });
  it('every plan of either aim passes the validator, and fewest has the fewest', () => {
    for (const passage of passages('both', 24, 20)) {
      const [a, b] = [planPassage(passage, fewest), planPassage(passage, { ...fewest, aim: 'practical' })];
      expect(b.status === 'unplayable').toBe(a.status === 'unplayable');
      if (a.status === 'unplayable' || b.status === 'unplayable') continue;
      for (const x of [a, b]) {
        const verdict = validatePlan(passage, x.planned, fewest);
        expect(verdict.faults).toEqual([]);
        expect(verdict.price).toEqual(x.price);
      }
      expect(b.lowerBound).toBe(a.lowerBound);
      expect(a.price.moves).toBeLessThanOrEqual(b.price.moves);
    }
  });
});
