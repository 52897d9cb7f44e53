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
import { barChords } from '../../src/proposals/kept';
import { bestToLift, droppedSentences, limitSentence } from '../../src/proposals/steer-words';
import type { LimitReport, Proposal, Recipe, Steering } from '../../src/proposals/types';
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
    for (const { planned, pedals, difficulty: hardness } of proposals) {
      expect(hardness).toEqual(difficulty(planned));
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

  it('says which limit refuses, and what comes back where one alone is lifted', () => {
    const { proposals, rejected, limits = [] } = steered({ mostMoves: 999, density: [20, 24] }, { count: 3 });
    expect(proposals).toEqual([]);
    expect(rejected.some((r) => r.problems.some((p) => String(p.limit).includes('as asked for')))).toBe(true);
    const [density, moves] = limits;
    expect(limits.map((l) => l.limit)).toEqual(['density', 'mostMoves']);
    // Counted anew from the refusals.
    const named = rejected.filter((r) => r.problems.some((p) => String(p.limit).startsWith('20 to 24')));
    expect(density?.refused).toBe(named.length);
    expect(density?.back).toBe(3);
    expect(moves).toEqual({ limit: 'mostMoves', refused: 0, back: 0 });
    expect(steered({ mostMoves: 999 }, { count: 3 }).proposals).toHaveLength(3);
    expect(bestToLift(limits)?.limit).toBe('density');
    expect(limitSentence(density as LimitReport)).toBe(
      `The density refused ${named.length} drafts; without it there are 3 proposals.`,
    );
  });

  it('tells limits that bind only together', () => {
    const { proposals, limits = [] } = steered(
      { density: [20, 24], register: [0, 7] },
      { count: 2, families: ['rolled-chords', 'sparse-tones'] },
    );
    expect(proposals).toEqual([]);
    expect(limits.map((l) => [l.limit, l.back])).toEqual([
      ['density', 0],
      ['register', 0],
      ['families', 0],
    ]);
    expect(bestToLift(limits)).toBeNull();
  });

  it('tries nothing where there are proposals', () => {
    const { limits } = steered({ mostMoves: 30 }, { count: 2 });
    expect(limits?.map((l) => l.back)).toEqual([null]);
  });

  it('lets go of kept bars whose chords have changed, and says so', () => {
    const recipe: Recipe = [{ family: 'rolled-chords', seed: '3' }];
    const [model] = propose({ ...request, families: ['rolled-chords'], count: 1 }).proposals;
    const chords = barChords((model as Proposal).planned.passage).slice(1, 4);
    const keep = [{ from: 2, to: 4, recipe, chords }];
    const same = steered({ keep });
    expect(same.dropped).toEqual([]);
    // The third bar is another chord, the fourth the same chord written otherwise.
    const text = 'Dm9 | G13 | C7 | A7(b9)';
    const changed = propose({ ...request, text, steering: { keep } });
    expect(changed.dropped).toEqual([{ bar: 3, why: 'chords' }]);
    expect(droppedSentences(changed.dropped ?? [])).toEqual(['Bar 3 is not kept: its chords have changed.']);
    expect(new Set(changed.proposals.map((p) => struck(p, 3, 3).join())).size).toBeGreaterThan(1);
    expect(new Set(changed.proposals.map((p) => struck(p, 2, 2).join())).size).toBe(1);
    const shorter = propose({ ...request, text: 'Dm9 | G13', steering: { keep } });
    expect(shorter.dropped?.map((d) => d.why)).toEqual(['past-end', 'past-end']);
    expect(droppedSentences(shorter.dropped ?? [])).toEqual([
      'Bars 3–4 are not kept: they are past the end.',
    ]);
    expect(v.parse(steeringSchema, { keep })).toEqual({ keep });
  });

  it('does not let kept bars shrink the list: the others tell proposals apart', () => {
    const text = 'Dm9 | G13 | Cmaj9 | A7b9 | Dm9 | G13 | Cmaj9 | Cmaj9';
    const recipe: Recipe = [{ family: 'hand-to-hand', seed: '3' }];
    const ask = { ...request, text, count: 24 };
    const { proposals } = propose({ ...ask, steering: { keep: [{ from: 1, to: 6, recipe }] } });
    expect(proposals).toHaveLength(24);
  }, 20_000);

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

  it('are marked to grow where they build and to fade where they thin', () => {
    const { proposals } = propose({ ...request, families: ['mixed'], count: 24 });
    const marked = (name: string) => proposals.filter((p) => p.variant.startsWith(`${name}: `));
    expect(marked('building').length + marked('thinning').length).toBeGreaterThan(1);
    for (const [name, kind] of [
      ['building', 'crescendo'],
      ['thinning', 'diminuendo'],
    ] as const)
      for (const { planned } of marked(name)) {
        const last = planned.passage.bars.at(-1)?.start;
        expect(planned.passage.hairpins).toEqual([{ from: 0, to: last, kind }]);
      }
    for (const { planned } of marked('a a b a')) expect(planned.passage.hairpins).toBeUndefined();
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

describe('a spelling that is fixed', () => {
  it('holds in every proposal where the note sounds so, and asks for none elsewhere', () => {
    const free = propose({ ...request, text: 'C | F#7 | C', count: 12 });
    const sharps = (list: typeof free.proposals): number =>
      list.filter((p) => spelt(p).includes('F1')).length;
    // F♯ and G♭ are one sound: asked for as G♭ on the first beat of the second bar, it is never spelt F♯ there.
    const fixes = [{ bar: '2', beat: 1, letter: 'G', alter: -1, octave: null }] as const;
    const fixed = propose({ ...request, text: 'C | F#7 | C', count: 12, steering: { fixes } });
    expect(sharps(free.proposals)).toBeGreaterThan(0);
    expect(sharps(fixed.proposals)).toBe(0);
    expect(fixed.proposals.filter((p) => spelt(p).includes('G-1')).length).toBeGreaterThan(3);
    expect(v.parse(steeringSchema, { fixes })).toEqual({ fixes });
  });
});

/** Letters and alterations struck on the first beat of the second bar. */
function spelt({ planned }: Proposal): string[] {
  const at = planned.passage.bars[1]?.start;
  return planned.passage.plucks.filter((p) => p.onset === at).map((p) => `${p.pitch.letter}${p.pitch.alter}`);
}
