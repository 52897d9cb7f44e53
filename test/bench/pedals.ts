/** Speed of the pedal planner: milliseconds per onset at three lengths, chromatic and tonal. */

import { seededRandom } from '../../src/base/random';
import { noteTicks, ticks } from '../../src/base/units';
import { makeBars } from '../../src/music/metre';
import type { Passage, Pluck } from '../../src/music/passage';
import { type Pitch, harpSpellings } from '../../src/music/pitch';
import { defaultPlanOptions, planPassage } from '../../src/pedals/plan';

/** Broken chords in sixteenths, a new chord each bar: any twelve-tone chord, or one of a key with its dominants. */
function figures(onsets: number, tonal: boolean): Passage {
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
  return rows;
}
