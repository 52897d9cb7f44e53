/** Speed of the pedal planner: milliseconds per onset at three lengths, chromatic and tonal; beside HiGHS; neighbours. */

import loadHighs from 'highs';
import { seededRandom } from '../../src/base/random';
import { noteTicks, ticks } from '../../src/base/units';
import { makeBars } from '../../src/music/metre';
import type { Passage, Pluck } from '../../src/music/passage';
import { type Pitch, harpSpellings } from '../../src/music/pitch';
import { RATES } from '../../src/pedals/rates';
import { defaultPlanOptions, planPassage } from '../../src/pedals/plan';
import { neighbours } from '../../src/proposals/neighbours';
import { milpText } from '../pedals/milp';
import { randomPassage } from '../pedals/random-passage';

/** Broken chords in sixteenths, a new chord each bar: any twelve-tone chord, or one of a key with its dominants. */
export function figures(onsets: number, tonal: boolean): Passage {
  const random = seededRandom(`bench ${onsets} ${tonal}`);
  const plucks: Pluck[] = [];
  const chords = tonal
    ? [
        [0, 4, 7, 11],
        [9, 0, 4, 7],
        [2, 5, 9, 0],
        [7, 11, 2, 5],
        [9, 1, 4, 7],
        [0, 4, 7, 10],
      ]
    : Array.from({ length: 12 }, (_, root) =>
        [0, random.pick([3, 4]), random.pick([6, 7, 8]), random.pick([9, 10, 11])].map((i) => i + root),
      );
  let chord: readonly number[] = [];
  for (let i = 0; i < onsets; i++) {
    if (i % 16 === 0) chord = random.pick(chords);
    const count = i % 4 === 0 ? 3 : 1;
    for (let n = 0; n < count; n++) {
      const midi = 48 + (chord[(i + n) % 4] as number) + 12 * (n % 3);
      plucks.push({
        id: `${i}.${n}`,
        onset: noteTicks(i, 16),
        duration: noteTicks(1, 16),
        pitch: harpSpellings(midi)[0] as Pitch,
        hand: null,
        finger: null,
        technique: 'ordinary',
        dynamic: 'mf',
      });
    }
  }
  const bars = makeBars({ beats: 4, unit: 4 }, Math.ceil(onsets / 16));
  const tempo = [{ onset: ticks(0), milliBpm: 90_000 }];
  return {
    title: '',
    bars,
    tempo,
    fifths: 0,
    plucks,
    rolls: [],
    sweeps: [],
    trembles: [],
    chords: [],
    damps: [],
  };
}

export async function bench(): Promise<{ name: string; value: number; unit: string }[]> {
  const rows: { name: string; value: number; unit: string }[] = [];
  for (const aim of ['fewest', 'practical'] as const) {
    for (const tonal of [true, false]) {
      for (const onsets of [100, 1000, 10_000]) {
        const passage = figures(onsets, tonal);
        const rounds = onsets < 1000 ? 10 : 1;
        planPassage(figures(100, tonal), { ...defaultPlanOptions, aim });
        const began = performance.now();
        for (let i = 0; i < rounds; i++) planPassage(passage, { ...defaultPlanOptions, aim });
        const value = (performance.now() - began) / rounds / onsets;
        rows.push({
          name: `pedal plan, ${aim}, ${tonal ? 'tonal' : 'chromatic'}, ${onsets} onsets`,
          value,
          unit: 'ms per onset',
        });
      }
    }
  }
  rows.push(await besideHighs());
  const part = figures(400, true);
  const asked = { ...defaultPlanOptions, aim: 'fewest' } as const;
  const answer = planPassage(part, asked);
  const began = performance.now();
  neighbours(part, asked, answer);
  rows.push({ name: 'cheaper neighbours, tonal, 400 onsets', value: performance.now() - began, unit: 'ms' });
  return rows;
}

/** How many times longer HiGHS takes for the same optimum, at the median of seeded passages of 16 onsets. */
async function besideHighs(): Promise<{ name: string; value: number; unit: string }> {
  const highs = await loadHighs();
  const random = seededRandom('bench beside highs');
  const rates = { ...RATES, move: 20_000 };
  const ratios = Array.from({ length: 9 }, () => {
    const passage = randomPassage(random, { onsets: 16, most: 3, milliBpm: 60_000, sweeps: false });
    const asked = { ...defaultPlanOptions, aim: 'fewest' } as const;
    planPassage(passage, asked);
    const began = performance.now();
    planPassage(passage, asked);
    const ours = performance.now() - began;
    const question = { passage, ...asked, rates, step: 840, gap: 1, discless: asked.instrument.discless };
    const start = performance.now();
    highs.solve(milpText(question), { output_flag: false, mip_rel_gap: 0 });
    return (performance.now() - start) / ours;
  });
  ratios.sort((a, b) => a - b);
  return {
    name: 'HiGHS against the planner, 16 onsets, median',
    value: ratios[4] as number,
    unit: 'times longer',
  };
}
