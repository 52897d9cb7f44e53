/** Speed of the pedal planner at three lengths, its memory, the harp parts, and neighbours. */

import { seededRandom } from '../../src/base/random';
import { noteTicks, ticks } from '../../src/base/units';
import { PEDALS } from '../../src/harp/setting';
import { makeBars } from '../../src/music/metre';
import type { Passage, Pluck } from '../../src/music/passage';
import { type Pitch, harpSpellings } from '../../src/music/pitch';
import { defaultPlanOptions, planPassage } from '../../src/pedals/plan';
import { neighbours } from '../../src/proposals/neighbours';
import { partNames, readPart } from '../pedals/parts';

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
  rows.push(memory(), ...harpParts());
  const part = figures(400, true);
  const asked = { ...defaultPlanOptions, aim: 'fewest' } as const;
  const answer = planPassage(part, asked);
  const began = performance.now();
  neighbours(part, asked, answer);
  rows.push({ name: 'cheaper neighbours, tonal, 400 onsets', value: performance.now() - began, unit: 'ms' });
  return rows;
}

/** What the heap holds more while a long plan is kept, a collection before and after where the engine allows one. */
function memory(): { name: string; value: number; unit: string } {
  const passage = figures(10_000, true);
  const collect = (globalThis as { gc?: () => void }).gc ?? (() => undefined);
  collect();
  const before = process.memoryUsage().heapUsed;
  const answer = planPassage(passage, defaultPlanOptions);
  collect();
  const value = (process.memoryUsage().heapUsed - before) / 2 ** 20;
  const name = `pedal plan, practical, 10000 onsets, ${answer.status}: heap`;
  return { name, value, unit: 'MiB' };
}

/** Moves and gestures of the shared harp parts: as printed, fewest, practical; nothing where they are absent. */
function harpParts(): { name: string; value: number; unit: string }[] {
  return partNames.flatMap((name) => {
    const passage = readPart(name);
    const short = name.split('-').slice(0, 4).join('-');
    let printed = 0;
    for (const letter of PEDALS) {
      const alters = passage.plucks.filter((p) => p.pitch.letter === letter).map((p) => p.pitch.alter);
      printed += alters.filter((a, i) => i > 0 && a !== alters[i - 1]).length;
    }
    const rows = [{ name: `${short}, as printed`, value: printed, unit: 'moves' }];
    for (const aim of ['fewest', 'practical'] as const) {
      const answer = planPassage(passage, { ...defaultPlanOptions, aim });
      if (answer.status === 'unplayable') continue;
      rows.push({ name: `${short}, ${aim} (${answer.status})`, value: answer.price.moves, unit: 'moves' });
      rows.push({
        name: `${short}, ${aim} (${answer.status})`,
        value: answer.price.gestures,
        unit: 'gestures',
      });
    }
    return rows;
  });
}
