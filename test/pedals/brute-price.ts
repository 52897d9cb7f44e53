// The least whole price by brute force: every spelling, every move of every letter at every instant of a fine grid,
// each plan judged from its notes and moves alone.
import { type Random } from '../../src/base/random';
import { type Ticks, noteTicks, ticks } from '../../src/base/units';
import type { Move, PlannedPassage } from '../../src/harp/planned';
import { PEDALS, type Position, type Setting, footOf, packSetting, positionOf } from '../../src/harp/setting';
import { stringOf } from '../../src/harp/strings';
import type { Passage } from '../../src/music/passage';
import { type Letter, type Pitch, harpSpellings, midiOf } from '../../src/music/pitch';
import { defaultPlanOptions, planPassage } from '../../src/pedals/plan';
import { priceOf } from '../../src/pedals/spending';
import type { PlanOptions } from '../../src/pedals/types';
import { randomPassage } from './random-passage';

/** Every instant of the grid and every way to spell and to move; null where nothing is playable. */
export function leastPriceByForce(passage: Passage, options: PlanOptions, grid: number): number | null {
  const plucks = passage.plucks;
  const micros = (t: number): number =>
    Math.floor((t * 60_000_000_000) / ((passage.tempo[0]?.milliBpm ?? 90_000) * 3360));
  let best: number | null = null;
  const plan = (spelt: Passage, start: Setting, moves: readonly Move[]): void => {
    const sorted = [...moves].sort(
      (a, b) => a.onset - b.onset || PEDALS.indexOf(a.letter) - PEDALS.indexOf(b.letter),
    );
    const planned: PlannedPassage = {
      passage: spelt,
      instrument: options.instrument,
      start,
      moves: sorted,
      tuning: {},
    };
    const { points } = priceOf(passage, planned, options);
    if (best === null || points < best) best = points;
  };
  const judge = (chosen: readonly Pitch[]): void => {
    const spelt: Passage = {
      ...passage,
      plucks: plucks.map((p, i) => ({ ...p, pitch: chosen[i] as Pitch })),
    };
    const start = {} as Record<Letter, Position>;
    const windows: Omit<Move, 'onset'>[] = [];
    const bounds: [number, number][] = [];
    for (const letter of PEDALS) {
      const needs = spelt.plucks.filter((p) => p.pitch.letter === letter);
      start[letter] = (needs[0]?.pitch.alter ?? positionOf(1093, letter)) as Position;
      let [stands, free] = [start[letter], 0];
      if (options.start !== null) stands = start[letter] = positionOf(options.start, letter);
      for (const { pitch, onset } of needs) {
        if (pitch.alter !== stands) {
          windows.push({ letter, from: stands, to: pitch.alter as Position, foot: footOf(letter) });
          bounds.push([free, onset]);
          stands = pitch.alter as Position;
        }
        free = onset;
      }
    }
    const place = (i: number, moves: readonly Move[]): void => {
      if (i === windows.length) return plan(spelt, packSetting(start), moves);
      const [from, to] = bounds[i] as [number, number];
      const move = windows[i] as Omit<Move, 'onset'>;
      for (let at = from; at <= to; at += grid) {
        if (options.mustSettle === true && micros(to) - micros(at) < options.times.settle) break;
        if (moves.some((m) => m.foot === move.foot && Math.abs(micros(m.onset) - micros(at)) < 250_000))
          continue;
        place(i + 1, [...moves, { ...move, onset: at as Ticks }]);
      }
    };
    // Each move costs 28 points and half a gesture at the least.
    if (best !== null && windows.length * 32 >= best) return;
    if (windows.length <= 4) place(0, []);
    else best ??= Number.NaN;
  };
  const choose = (i: number, chosen: Pitch[]): void => {
    const pluck = plucks[i];
    if (pluck === undefined) return judge(chosen);
    const open = pluck.fixed === true ? [pluck.pitch] : harpSpellings(midiOf(pluck.pitch));
    for (const q of open) {
      const fits = plucks.every((p, j) => {
        if (j >= i || p.onset !== pluck.onset) return true;
        const r = chosen[j] as Pitch;
        if (r.letter !== q.letter) return true;
        return r.alter === q.alter && (r.octave !== q.octave || stringOf(p.pitch) === stringOf(pluck.pitch));
      });
      if (fits) choose(i + 1, [...chosen, q]);
    }
  };
  choose(0, []);
  return best;
}

/** A passage, planned and judged: what came of it. Throws where the two differ. */
export function judge(random: Random, i: number, mustSettle = false): 'same' | 'refused' | 'too many' {
  const base = randomPassage(random, {
    onsets: 2 + random.below(3),
    most: 2,
    milliBpm: 60_000,
    gaps: random.pick([
      [1, 2],
      [2, 3, 4],
      [1, 4, 6],
    ]),
    keys: random.pick([
      [40, 12],
      [54, 14],
      [48, 40],
    ]),
    fixedIn: random.pick([2, 4, 12]),
  });
  const plucks = base.plucks.map((p) => ({
    ...p,
    hand: random.pick(['R', 'L', null] as const),
    technique: random.chance(1, 5) ? ('etouffe' as const) : ('ordinary' as const),
  }));
  const rolled = plucks.filter((p) => p.onset === plucks[0]?.onset).map((p) => p.id);
  const passage: Passage = {
    ...base,
    plucks,
    rolls: [{ id: 'r', plucks: rolled, direction: 'up' }],
    damps: random.chance(1, 3)
      ? [{ onset: noteTicks(1 + random.below(6), 16), ...(random.chance(1, 2) ? { below: 20 } : {}) }]
      : [],
  };
  // Every time in the model is a whole step of an eighth of a second.
  const options: PlanOptions = {
    ...defaultPlanOptions,
    ...(mustSettle ? { mustSettle } : {}),
    start: random.chance(1, 4) ? random.below(2187) : null,
    times: { neighbour: 375_000, reach: 500_000, secondPosition: 125_000, settle: 125_000 },
  };
  const answer = planPassage(passage, options);
  const least = leastPriceByForce(passage, options, ticks(420));
  if (least !== null && Number.isNaN(least)) return 'too many';
  const found = answer.status === 'unplayable' ? null : answer.price.points;
  if (found !== least) throw new Error(`passage ${i}: found ${found}, least ${least}`);
  if (answer.status !== 'unplayable' && (answer.status !== 'optimal' || answer.leastPoints !== found))
    throw new Error(`passage ${i}: ${answer.status}, at least ${answer.leastPoints}, found ${found}`);
  return found === null ? 'refused' : 'same';
}
