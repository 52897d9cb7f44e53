// Steering: what is asked holds in every proposal, is saved as plain data, and gives the same again.
import * as v from 'valibot';
import { describe, expect, it } from 'vitest';
import { DIFFICULTY_WORDS, difficulty } from '../../src/figures/difficulty';
import { stringOf } from '../../src/harp/strings';
import { positionOf } from '../../src/harp/setting';
import { plainRequest } from './_request';
import { cutBars } from '../../src/proposals/joint-bars';
import { PHRASE_PLANS, plansFor, rolesOf } from '../../src/proposals/phrase-plan';
import { propose } from '../../src/proposals/propose';
import { densityOf, steeringSchema } from '../../src/proposals/steer';
import { recipeOfId } from '../../src/proposals/steer-ids';
import type { Proposal, Recipe, Steering } from '../../src/proposals/types';
import { distanceOf, featuresOf } from '../../src/proposals/variety-distance';

const request = plainRequest('Dm9 | G13 | Cmaj9 | A7b9', '3', 6);
const steered = (steering: Steering, more: object = {}) => propose({ ...request, ...more, steering });

/** What is struck in some bars, without names: bar, onset, pitch, hand, technique. */
const struck = (p: Proposal, from: number, to: number): string[] =>
  cutBars(p.planned.passage)
    .slice(from - 1, to)
    .flatMap((bar) =>
      bar.plucks.map((n) => `${n.onset} ${stringOf(n.pitch)} ${n.pitch.alter} ${n.hand} ${n.technique}`),
    );

describe('steering', () => {
  it('keeps density, register, dynamic, difficulty, moves and locked pedals in every proposal', () => {
    const steering: Steering = {
      density: [0.5, 3],
      register: [14, 37],
      dynamic: 'p',
      hardest: 'medium',
      mostMoves: 4,
      pedals: { locked: { F: 0 } },
    };
    const { proposals, rejected } = steered(steering);
    expect(proposals.length).toBeGreaterThanOrEqual(4);
    for (const { planned, pedals } of proposals) {
      const density = densityOf(planned.passage);
      expect(density).toBeGreaterThanOrEqual(5);
      expect(density).toBeLessThanOrEqual(30);
      const strings = planned.passage.plucks.map((p) => stringOf(p.pitch));
      expect(Math.min(...strings)).toBeGreaterThanOrEqual(14);
      expect(Math.max(...strings)).toBeLessThanOrEqual(37);
      expect(planned.passage.plucks.every((p) => p.dynamic === 'p')).toBe(true);
      expect(DIFFICULTY_WORDS.indexOf(difficulty(planned).word)).toBeLessThanOrEqual(1);
      expect(pedals.moves).toBeLessThanOrEqual(4);
      expect(positionOf(planned.start, 'F')).toBe(0);
      expect(planned.moves.some((m) => m.letter === 'F')).toBe(false);
    }
    expect(rejected.every((r) => r.problems.length > 0)).toBe(true);
  });

  it('says why nothing is left where nothing can serve', () => {
    const { proposals, rejected } = steered({ mostMoves: 0, density: [20, 24] }, { count: 1 });
    expect(proposals).toEqual([]);
    expect(rejected.some((r) => r.problems.some((p) => String(p.limit).includes('as asked for')))).toBe(true);
  });

  it('keeps bars as they were and varies the rest', () => {
    const recipe: Recipe = [{ family: 'rolled-chords', seed: '3' }];
    const [kept] = propose({ ...request, families: ['rolled-chords'], count: 1 }).proposals;
    const { proposals } = steered({ keep: [{ from: 2, to: 3, recipe }] });
    expect(proposals.length).toBeGreaterThanOrEqual(3);
    const others = new Set<string>();
    for (const p of proposals) {
      expect(struck(p, 2, 3)).toEqual(struck(kept as Proposal, 2, 3));
      others.add(struck(p, 1, 1).join());
    }
    expect(others.size).toBeGreaterThan(1);
  });

  it('brings the like of a proposal nearer, and keeps off what is not wanted', () => {
    const [model] = propose({ ...request, families: ['bell-octaves'], count: 1 }).proposals;
    const features = featuresOf((model as Proposal).planned.passage);
    const far = (list: readonly Proposal[]): number =>
      list.reduce((n, p) => n + distanceOf(features, featuresOf(p.planned.passage)).total, 0) / list.length;
    const { recipe } = model as Proposal;
    const usual = far(propose(request).proposals);
    expect(far(steered({ like: [recipe] }).proposals)).toBeLessThan(usual);
    expect(far(steered({ unlike: [recipe] }).proposals)).toBeGreaterThan(usual);
  });

  it('plays a figure again on another progression, first in the list', () => {
    const recipe: Recipe = [{ family: 'bell-octaves', seed: '3' }];
    const { proposals } = steered({ again: [recipe] }, { text: 'Eb | Cm7 | Ab | Bb7', count: 2 });
    expect(proposals[0]).toMatchObject({ family: 'bell-octaves', recipe });
    expect(proposals).toHaveLength(2);
  });

  it('is plain data: read back from what is saved, it gives the same proposals', () => {
    const steering: Steering = {
      density: [0, 6],
      choices: 3,
      keep: [{ from: 1, to: 1, recipe: [{ family: 'rolled-chords', seed: '3' }] }],
    };
    const again: Steering = v.parse(steeringSchema, JSON.parse(JSON.stringify(steering)));
    expect(again).toEqual(steering);
    const row = (s: Steering) => steered(s, { count: 3 }).proposals.map((p) => [p.id, p.planned, p.recipe]);
    expect(row(again)).toEqual(row(steering));
  });

  it.each([
    [{ density: [4, 1] }],
    [{ register: [14, 20] }],
    [{ hardest: 'moderate' }],
    [{ choices: 13 }],
    [{ keep: [{ from: 3, to: 2, recipe: [{ family: 'wave', seed: '1' }] }] }],
    [{ like: [[]] }],
  ])('refuses %j when it is read', (bad) => {
    expect(v.safeParse(steeringSchema, bad).success).toBe(false);
  });

  it('finds the recipe of an id, mixed ones too', () => {
    expect(recipeOfId(request, 'hand-to-hand-down-3.1')).toEqual([
      { family: 'hand-to-hand-down', seed: '3.1' },
    ]);
    expect(recipeOfId(request, 'nothing-3')).toBeNull();
    const { proposals } = propose({ ...request, families: ['mixed'], count: 2 });
    expect(proposals.length).toBeGreaterThan(0);
    for (const p of proposals)
      expect(recipeOfId({ ...request, families: ['mixed'] }, p.id)).toEqual(p.recipe);
  });
});

describe('mixed textures', () => {
  it('follow a plan that their variant names, with more than one texture', () => {
    const { proposals } = propose({ ...request, families: ['mixed'], count: 6 });
    expect(proposals.length).toBeGreaterThanOrEqual(4);
    for (const p of proposals)
      expect(PHRASE_PLANS.some((plan) => p.variant.startsWith(`${plan.name}: `))).toBe(true);
    const families = proposals.map((p) => new Set(p.recipe.map((t) => t.family)).size);
    expect(families.every((n) => n >= 2)).toBe(true);
    expect(new Set(proposals.map((p) => p.variant)).size).toBe(proposals.length);
  });

  it('give every role of a plan a bar, and each bar a role', () => {
    expect(plansFor(1)).toEqual([]);
    for (const bars of [4, 7, 8, 16, 33])
      for (const plan of plansFor(bars)) {
        const roles = rolesOf(plan, bars);
        expect(roles).toHaveLength(bars);
        expect(new Set(roles).size).toBe(plan.roles);
      }
    expect(rolesOf(PHRASE_PLANS[0] as (typeof PHRASE_PLANS)[number], 8)).toEqual([0, 0, 0, 0, 1, 1, 0, 0]);
  });
});

describe('choices', () => {
  it('cost no more pedal moves in all than one texture throughout', () => {
    const moves = (steering: Steering): number => {
      const { proposals } = steered(steering, {
        families: ['wave', 'broken-over-bass', 'bass-and-chords'],
        count: 3,
      });
      expect(proposals).toHaveLength(3);
      return proposals.reduce((n, p) => n + p.pedals.moves, 0);
    };
    expect(moves({ choices: 6 })).toBeLessThan(moves({}));
  });
});
