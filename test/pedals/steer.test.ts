// What the user steers: pedals left alone, a key signature of the harp's own, foot times; and options without sense.
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random';
import { ticks } from '../../src/base/units';
import { PEDALS, type Position, SETTING_COUNT, packSetting } from '../../src/harp/setting';
import { makeBars } from '../../src/music/metre';
import type { Passage } from '../../src/music/passage';
import { type Letter, pitchName } from '../../src/music/pitch';
import { keySetting } from '../../src/harp/setting';
import { defaultPlanOptions, planPassage } from '../../src/pedals/plan';
import type { PlanOptions } from '../../src/pedals/types';
import { validatePlan } from '../../src/pedals/validate';
import { randomPassage } from './random-passage';

const fewest: PlanOptions = { ...defaultPlanOptions, aim: 'fewest' };
const written = (names: readonly [Letter, -1 | 0 | 1, number][], fifths = 0): Passage => ({
  title: '',
  bars: makeBars({ beats: 4, unit: 4 }, names.length),
  tempo: [{ onset: ticks(0), milliBpm: 90_000 }],
  fifths,
  plucks: names.map(([letter, alter, octave], i) => ({
    id: `n${i}`,
    onset: ticks(i * 3360),
    duration: ticks(3360),
    pitch: { letter, alter, octave },
    hand: null,
    finger: null,
    technique: 'ordinary',
    dynamic: 'mf',
  })),
  rolls: [],
  sweeps: [],
  trembles: [],
  chords: [],
  damps: [],
});

describe('pedals left alone', () => {
  it('never move, cost no fewer moves than freedom, and the plan keeps every rule', () => {
    const random = seededRandom('locks');
    let planned = 0;
    for (let i = 0; i < 80; i++) {
      const passage = randomPassage(random, {
        onsets: 10,
        most: 2,
        milliBpm: 60_000,
        sweeps: random.chance(1, 4),
      });
      const [a, b] = [random.pick(PEDALS), random.pick(PEDALS)];
      const locked = {
        [a]: (random.below(3) - 1) as Position,
        [b]: (random.below(3) - 1) as Position,
      } as Partial<Record<Letter, Position>>;
      const start = random.chance(1, 2)
        ? packSetting({
            ...({ C: 0, D: 0, E: 0, F: 0, G: 0, A: 0, B: 0 } as Record<Letter, Position>),
            ...locked,
          })
        : null;
      const options = { ...fewest, start, locked };
      const free = planPassage(passage, { ...fewest, start });
      const held = planPassage(passage, options);
      if (held.status === 'unplayable') {
        // None can be dropped: without any one of them the rest can be played.
        for (const id of held.conflict) {
          const some = {
            ...passage,
            plucks: passage.plucks.filter((p) => held.conflict.includes(p.id) && p.id !== id),
            sweeps: passage.sweeps.filter((s) => held.conflict.includes(s.id) && s.id !== id),
          };
          expect(planPassage(some, options).status).not.toBe('unplayable');
        }
        continue;
      }
      planned++;
      expect(validatePlan(passage, held.planned, options).faults).toEqual([]);
      expect(held.planned.moves.some((m) => m.letter in locked)).toBe(false);
      if (free.status === 'unplayable') throw new Error('a lock cannot help');
      expect(held.price.moves).toBeGreaterThanOrEqual(free.price.moves);
    }
    expect(planned).toBeGreaterThan(10);
  });
  it('a note that only a locked pedal could give is named, with the lock', () => {
    const answer = planPassage(written([['D', 1, 4]]), { ...fewest, locked: { D: 0, E: 0 } });
    expect(answer.status === 'unplayable' && answer.conflict).toEqual(['n0']);
    expect(answer.problems[0]).toMatchObject({ code: 'pedal-lock', value: 'D♯4' });
    expect(answer.problems[0]?.limit).toContain('D and E');
    const other = planPassage(written([['D', 1, 4]]), { ...fewest, locked: { D: 0 } });
    expect(other.status === 'optimal' && other.planned.passage.plucks.map((p) => pitchName(p.pitch))).toEqual(
      ['E♭4'],
    );
  });
  it('a lock that the start contradicts is one problem and no plan', () => {
    const answer = planPassage(written([['C', 0, 4]]), {
      ...fewest,
      start: keySetting(-7),
      locked: { C: 0 },
    });
    expect(answer.status).toBe('unplayable');
    expect(answer.problems.map((p) => p.code)).toEqual(['pedal-lock']);
  });
});

describe("a key signature of the harp's own", () => {
  const scale: [Letter, -1 | 0 | 1, number][] = [
    ['B', 0, 3],
    ['C', 1, 4],
    ['D', 1, 4],
    ['E', 0, 4],
    ['F', 1, 4],
    ['G', 1, 4],
    ['A', 1, 4],
    ['B', 0, 4],
  ];
  it('B major becomes C♭ major: all pedals up, none moved, nothing counted as respelt', () => {
    const answer = planPassage(written(scale, 5), { ...defaultPlanOptions, fifths: -7 });
    if (answer.status === 'unplayable') throw new Error('B major is playable');
    expect(answer.planned.passage.plucks.map((p) => pitchName(p.pitch))).toEqual(
      'C♭4 D♭4 E♭4 F♭4 G♭4 A♭4 B♭4 C♭5'.split(' '),
    );
    expect(answer.planned.start).toBe(keySetting(-7));
    expect([answer.price.moves, answer.price.respelt, answer.planned.passage.fifths]).toEqual([0, 0, -7]);
    const back = planPassage(answer.planned.passage, { ...defaultPlanOptions, fifths: 5 });
    expect(back.status === 'optimal' && back.planned.passage.plucks.map((p) => pitchName(p.pitch))).toEqual(
      scale.map(([letter, alter, octave]) => pitchName({ letter, alter, octave })),
    );
  });
  it('leaves fixed notes and keeps the pitch of every note, on seeded passages', () => {
    const random = seededRandom('own key');
    for (let i = 0; i < 40; i++) {
      const passage = {
        ...randomPassage(random, { onsets: 8, most: 2, milliBpm: 60_000, fixedIn: 3 }),
        fifths: 5,
      };
      const options = { ...defaultPlanOptions, fifths: -7 };
      const answer = planPassage(passage, options);
      if (answer.status === 'unplayable') continue;
      const verdict = validatePlan(passage, answer.planned, options);
      expect(verdict.faults).toEqual([]);
      expect(verdict.price).toEqual(answer.price);
      for (const p of passage.plucks.filter((x) => x.fixed === true)) {
        expect(answer.planned.passage.plucks.find((x) => x.id === p.id)?.pitch).toEqual(p.pitch);
      }
    }
  });
});

describe('foot times and options without sense', () => {
  it('shorter comfortable times never make more moves hasty', () => {
    const random = seededRandom('feet');
    let hasty = 0;
    for (let i = 0; i < 40; i++) {
      const passage = randomPassage(random, { onsets: 14, most: 3, milliBpm: 120_000 });
      const slow = planPassage(passage, { ...fewest, keepSpelling: true });
      if (slow.status === 'unplayable') continue;
      const quick = planPassage(passage, {
        ...fewest,
        keepSpelling: true,
        times: { ...fewest.times, neighbour: 250_000, reach: 250_000, secondPosition: 0 },
      });
      if (quick.status === 'unplayable') throw new Error('quicker feet cannot do less');
      expect(quick.price.hasty).toBe(0);
      expect(quick.price.moves).toBe(slow.price.moves);
      hasty += slow.price.hasty;
    }
    expect(hasty).toBeGreaterThan(0);
  });
  it('times of zero, tempi of zero, settings that are none and keys that are none are told', () => {
    const passage = written([['C', 0, 4]]);
    const codes = (p: Passage, options: Partial<PlanOptions>): string[] => {
      const answer = planPassage(p, { ...fewest, ...options });
      expect(answer.status).toBe('unplayable');
      return answer.problems.map((x) => x.code);
    };
    expect(codes(passage, { times: { ...fewest.times, neighbour: 0 } })).toEqual(['foot-times']);
    expect(codes(passage, { times: { ...fewest.times, settle: Number.NaN } })).toEqual(['foot-times']);
    expect(codes({ ...passage, tempo: [{ onset: ticks(0), milliBpm: 0 }] }, {})).toEqual(['tempo']);
    expect(codes(passage, { start: SETTING_COUNT })).toEqual(['pedal-setting']);
    expect(codes(passage, { end: 0.5 })).toEqual(['pedal-setting']);
    expect(codes(passage, { fifths: 8 })).toEqual(['harp-key']);
  });
  it('an empty passage costs nothing, and is led to the setting asked for', () => {
    const empty = written([]);
    expect(planPassage(empty, fewest)).toMatchObject({ status: 'optimal', price: { moves: 0 } });
    const bars = { ...empty, bars: makeBars({ beats: 4, unit: 4 }, 4) };
    const led = planPassage(bars, { ...fewest, start: keySetting(0), end: keySetting(-3) });
    expect(led).toMatchObject({ status: 'optimal', price: { moves: 3 }, lowerBound: 3 });
  });
});
