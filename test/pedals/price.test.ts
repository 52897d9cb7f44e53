// The whole price: against brute force, told at its places, with slides, emergencies and damped strings.
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random';
import { noteTicks, ticks } from '../../src/base/units';
import { NATURAL_SETTING } from '../../src/harp/setting';
import { makeBars } from '../../src/music/metre';
import type { Passage, Pluck } from '../../src/music/passage';
import type { Alter, Letter } from '../../src/music/pitch';
import { defaultPlanOptions, planPassage } from '../../src/pedals/plan';
import { TERMS } from '../../src/pedals/rates';
import { priceOf, spendingOf } from '../../src/pedals/spending';
import type { PlanOptions } from '../../src/pedals/types';
import { validatePlan } from '../../src/pedals/validate';
import { judge } from './brute-price';
import { randomPassage } from './random-passage';

/** More with an environment variable, for a long evening. */
const COUNT = Number(process.env['BRUTE_PASSAGES'] ?? 60);

const pluck = (id: string, at: number, name: string, more: Partial<Pluck> = {}): Pluck => {
  const [, letter, sign, octave] = /^([A-G])(b|#|)(\d)$/.exec(name) as RegExpExecArray;
  return {
    id,
    onset: noteTicks(at, 16),
    duration: noteTicks(1, 16),
    pitch: {
      letter: letter as Letter,
      alter: { b: -1, '': 0, '#': 1 }[sign as string] as Alter,
      octave: Number(octave),
    },
    fixed: true,
    hand: null,
    finger: null,
    technique: 'ordinary',
    dynamic: 'mf',
    ...more,
  };
};
const passageOf = (plucks: readonly Pluck[], more: Partial<Passage> = {}): Passage => ({
  title: '',
  bars: makeBars({ beats: 4, unit: 4 }, 4),
  tempo: [{ onset: ticks(0), milliBpm: 60_000 }],
  fifths: 0,
  plucks,
  rolls: [],
  sweeps: [],
  trembles: [],
  chords: [],
  damps: [],
  ...more,
});
const planned = (passage: Passage, options: PlanOptions = defaultPlanOptions) => {
  const answer = planPassage(passage, options);
  if (answer.status === 'unplayable') throw new Error('unplayable');
  expect(validatePlan(passage, answer.planned, options).faults).toEqual([]);
  return answer;
};

describe('the whole price', () => {
  it(`is the least of all plans on a fine grid, on ${COUNT} seeded passages`, { timeout: 6e6 }, () => {
    const random = seededRandom('brute price');
    const seen = { same: 0, refused: 0, 'too many': 0 };
    for (let i = 0; i < COUNT; i++) seen[judge(random, i)]++;
    expect(seen.same).toBeGreaterThan(COUNT / 2);
    expect(seen['too many']).toBeLessThan(COUNT / 4);
  });
  it(`is so, too, where every pedal must settle, on ${COUNT} more`, { timeout: 6e6 }, () => {
    const random = seededRandom('settled price');
    const seen = { same: 0, refused: 0, 'too many': 0 };
    for (let i = 0; i < COUNT; i++) seen[judge(random, i, true)]++;
    expect(seen.same).toBeGreaterThan(COUNT / 3);
  });
  it('is spent at places that add up, and the bound meets it', () => {
    const random = seededRandom('spending');
    let met = 0;
    for (let i = 0; i < 12; i++) {
      const passage = randomPassage(random, { onsets: 10, most: 3, milliBpm: 72_000 });
      const answer = planPassage(passage, defaultPlanOptions);
      if (answer.status === 'unplayable') continue;
      const spent = spendingOf(passage, answer.planned, defaultPlanOptions);
      expect(spent.reduce((sum, s) => sum + s.points, 0)).toBe(answer.price.points);
      for (const term of TERMS)
        expect(spent.filter((s) => s.term === term).reduce((sum, s) => sum + s.points, 0)).toBe(
          answer.price.terms[term],
        );
      if (answer.status === 'optimal') expect(answer.leastPoints).toBe(answer.price.points);
      met++;
    }
    expect(met).toBeGreaterThan(5);
  });
  it('waits for a loud string to fade, and need not where it is damped', () => {
    const notes = [pluck('a', 0, 'C2'), pluck('b', 32, 'C#2')];
    const ringing = planned(passageOf(notes));
    expect(ringing.planned.moves[0]?.onset).toBeGreaterThanOrEqual(noteTicks(20, 16));
    expect(ringing.price.terms.ring).toBe(0);
    const short = [pluck('a', 0, 'C2'), pluck('b', 4, 'C#2')];
    expect(planned(passageOf(short)).price.terms.ring).toBe(6);
    const damped = planned(passageOf(short, { damps: [{ onset: noteTicks(1, 16) }] }));
    expect(damped.price.terms.ring).toBe(0);
  });
  it('two moves of one foot may stand at onsets exactly the least time apart', () => {
    // Each pedal is struck in its old position, and a quarter of a second later in the new.
    const notes = [pluck('a', 0, 'D4'), pluck('b', 0, 'C4'), pluck('c', 1, 'Db4'), pluck('d', 1, 'C#4')];
    const answer = planned(passageOf(notes));
    expect(answer.planned.moves.map((m) => m.onset)).toEqual([noteTicks(0, 16), noteTicks(1, 16)]);
  });
});

describe('a deliberate slide', () => {
  const notes = [pluck('a', 0, 'F4', { fixed: false }), pluck('b', 8, 'G4')];
  const slides = [
    {
      id: 's',
      pluck: 'a',
      onset: noteTicks(3, 16),
      to: { letter: 'F' as const, alter: 1 as const, octave: 4 },
    },
  ];
  it('is made at its instant, priced as a move and nothing else, and never dodged', () => {
    for (const aim of ['practical', 'fewest'] as const) {
      const answer = planned(passageOf(notes, { slides }), { ...defaultPlanOptions, aim });
      expect(answer.planned.moves).toMatchObject([{ letter: 'F', from: 0, to: 1, onset: noteTicks(3, 16) }]);
      expect(answer.price).toMatchObject({ moves: 1, slides: 1, points: 36 });
      expect(answer.price.terms).toMatchObject({ moves: 28, gestures: 8, ring: 0, ahead: 0, offBeat: 0 });
    }
  });
  it('comes before what is struck at its instant: a move that comes after that is a gesture of its own', () => {
    // C is struck natural where F slides, and sharp a quarter of a second later.
    const gestures = (struck: boolean): number => {
      const c = [...(struck ? [pluck('c', 3, 'C4')] : []), pluck('d', 4, 'C#4')];
      const asked = passageOf([notes[0] as Pluck, ...c], { slides });
      const { planned: plan } = planned(asked, { ...defaultPlanOptions, start: NATURAL_SETTING });
      const moves = plan.moves.map((m) => ({ ...m, onset: noteTicks(3, 16) }));
      expect(moves.map((m) => m.letter).sort()).toEqual(['C', 'F']);
      return priceOf(asked, { ...plan, moves }, defaultPlanOptions).gestures;
    };
    expect([gestures(false), gestures(true)]).toEqual([1, 2]);
  });
  it('has no plan where its string is struck in the old position at that instant', () => {
    const asked = passageOf(
      [...notes, pluck('c', 3, 'F5')].sort((a, b) => a.onset - b.onset),
      { slides },
    );
    expect(planPassage(asked, defaultPlanOptions).status).toBe('unplayable');
    const { planned: plan } = planned(passageOf(notes, { slides }));
    const { faults } = validatePlan(asked, { ...plan, passage: asked }, defaultPlanOptions);
    expect(faults.map((f) => f.code)).toEqual(['clash']);
  });
  it('that a plan leaves out is a fault', () => {
    const asked = passageOf(notes, { slides });
    const plain = planned(passageOf(notes));
    const { faults } = validatePlan(asked, plain.planned, defaultPlanOptions);
    expect(faults).toContainEqual({ code: 'slide', what: 's' });
  });
});

describe('emergencies', () => {
  // D, C and B all change within a quarter of a second: two instants for three pedals of one foot.
  const notes = [
    ...['D4', 'C4', 'B4'].map((n, i) => pluck(`o${i}`, 0, n)),
    ...['Db4', 'C#5', 'Bb4'].map((n, i) => pluck(`n${i}`, 1, n)),
  ];
  it('make playable what two feet cannot do by the rule, and are priced', () => {
    const options = { ...defaultPlanOptions, start: NATURAL_SETTING };
    expect(planPassage(passageOf(notes), options).status).toBe('unplayable');
    for (const aim of ['practical', 'fewest'] as const) {
      const asked = { ...options, aim, emergencies: true };
      const answer = planned(passageOf(notes), asked);
      expect(answer.price.moves).toBe(3);
      // One would do; a second saves a gesture and haste.
      expect([20, 40]).toContain(answer.price.terms.emergencies);
      expect(answer.status).toBe('optimal');
    }
  });
  it('move no pedal twice at one instant, not even by two feet: E falls only after what needs it natural', () => {
    const asked: Passage = {
      ...passageOf(
        [
          ...[['F#1', 0] as const, ['A1', 0] as const, ['Db2', 0] as const, ['Eb1', 1] as const],
          ...[['F#1', 3] as const, ['G1', 3] as const, ['Cb2', 3] as const, ['Eb1', 7] as const],
          ...[['G#1', 7] as const, ['E1', 8] as const, ['G#1', 8] as const, ['A#1', 8] as const],
          ...[['Eb1', 9] as const, ['F#1', 9] as const, ['C#2', 9] as const, ['D2', 9] as const],
          ...[['Ab1', 13] as const, ['G1', 15] as const, ['Ab1', 15] as const, ['C#2', 15] as const],
        ].map(([name, at], i) => pluck(`n${i}`, at, name)),
      ),
      tempo: [{ onset: ticks(0), milliBpm: 240_000 }],
    };
    const fixed = [pluck('f0', 3, 'B#1'), pluck('f1', 8, 'F#1')].map((n) => ({ ...n, fixed: true }));
    const plucks = [...asked.plucks, ...fixed].sort((a, b) => a.onset - b.onset);
    for (const aim of ['practical', 'fewest'] as const) {
      const options = { ...defaultPlanOptions, aim, start: 171, emergencies: true };
      const answer = planned({ ...asked, plucks }, options);
      expect(validatePlan({ ...asked, plucks }, answer.planned, options).faults).toEqual([]);
      const instants = answer.planned.moves.map((m) => `${m.letter} ${m.onset}`);
      expect(new Set(instants).size).toBe(instants.length);
    }
  });
  it('are not used where there is time', () => {
    const slow = notes.map((n) => ({ ...n, onset: ticks(n.onset * 16) }));
    const answer = planned(passageOf(slow), { ...defaultPlanOptions, emergencies: true });
    expect(answer.price.terms.emergencies).toBe(0);
  });
});

describe('a refusal', () => {
  it('names changes that work: each planned again here', () => {
    const random = seededRandom('ways out');
    let seen = 0;
    for (let i = 0; i < 60 && seen < 12; i++) {
      const passage = randomPassage(random, { onsets: 6, most: 3, milliBpm: 300_000, fixedIn: 2 });
      const answer = planPassage(passage, defaultPlanOptions);
      if (answer.status !== 'unplayable') continue;
      seen++;
      expect(answer.ways.length).toBeGreaterThan(0);
      for (const way of answer.ways) {
        const tempo = passage.tempo.map((t) => ({
          ...t,
          milliBpm: way.kind === 'slower' ? Math.floor((t.milliBpm * way.percent) / 100) : t.milliBpm,
        }));
        const gone = way.kind === 'leave-out' ? way.ids : [];
        const plucks = passage.plucks.filter((p) => !gone.includes(p.id));
        const emergencies = way.kind === 'emergencies';
        const again = planPassage({ ...passage, tempo, plucks }, { ...defaultPlanOptions, emergencies });
        expect([i, way, again.status === 'unplayable']).toEqual([i, way, false]);
      }
    }
    expect(seen).toBe(12);
  });
});
