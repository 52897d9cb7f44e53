// Parts mended: the published ones read back, 200 planted faults, and 1,000 bars with 200 faults.
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { seededRandom } from '../../src/base/random';
import { ticks } from '../../src/base/units';
import { readPart } from '../../src/interchange/read-part';
import { makeBars } from '../../src/music/metre';
import type { Pluck } from '../../src/music/passage';
import { diatonicIndex, octaveShift } from '../../src/music/pitch';
import { type PartToCheck, checkPart } from '../../src/proposals/check';
import { mendPart } from '../../src/proposals/mend/mend';
import { mendFile } from '../../src/proposals/mend/write';
import { propose } from '../../src/proposals/propose';
import { type Ground, PLANTS } from '../cases/plants';
import { DATA, dataBytes, dataFiles, hasData } from '../shared/data';
import type { Measure } from './main';

const CASES = 200;
const BARS = 1000;
const FAULTY = 5;

const errorsOf = (part: PartToCheck): number =>
  checkPart(part).problems.filter((p) => p.severity === 'error').length;
const cpu = (): number => {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
};
const ms = (name: string, value: number): Measure => ({ name, value, unit: 'ms CPU' });
const count = (name: string, value: number): Measure => ({ name, value, unit: 'errors' });

const proposed = (seed: string) =>
  propose({
    ...{ text: 'Ebmaj7 | Cm9 | Fm7 Bb7b9 | Eb6/9', metre: { beats: 4, unit: 4 }, milliBpm: 80_000, seed },
    ...{ count: 8, families: [], start: null, aim: 'practical', key: null, title: '' },
  }).proposals;

function published(): Measure[] {
  if (!hasData || !existsSync(join(DATA, 'harp-parts'))) return [];
  let [before, after, time, parts] = [0, 0, 0, 0];
  for (const name of dataFiles('harp-parts').filter((n) => n.endsWith('.musicxml'))) {
    const bytes = dataBytes('harp-parts', name);
    const read = readPart(name, bytes);
    if (!read.ok) continue;
    before += errorsOf(read.value);
    const start = cpu();
    const mended = mendFile(bytes, read.value, { kind: 'musicxml' });
    time += cpu() - start;
    const back = readPart(name, mended.bytes);
    if (!back.ok) throw new Error(`${name}: what was written cannot be read`);
    after += errorsOf(back.value);
    parts++;
  }
  return [
    count(`${parts} published parts, before`, before),
    count(`${parts} published parts, mended, read back`, after),
    ms(`${parts} published parts, with writing and reading back`, time),
  ];
}

function planted(): Measure[] {
  const both = proposed('0').filter(({ planned: { passage } }) =>
    (['R', 'L'] as const).every((hand) => passage.plucks.some((p) => p.hand === hand)),
  );
  const grounds = both.map(({ id, planned }): Ground => {
    const moves = planned.moves.map(({ onset, letter, to }) => ({ onset, letter, to }));
    const settings = [{ onset: ticks(0), setting: planned.start }];
    return {
      name: id,
      part: { passage: planned.passage, markings: { settings, moves } },
      planned,
      marked: true,
    };
  });
  const random = seededRandom('bench mend');
  const names = Object.keys(PLANTS);
  let [cases, left, time] = [0, 0, 0];
  for (let tries = 0; cases < CASES && tries < 40 * CASES; tries++) {
    const fault = PLANTS[names[tries % names.length] as string]?.(random.pick(grounds), random) ?? null;
    if (fault === null || fault.severity !== 'error') continue;
    cases++;
    const start = cpu();
    left += errorsOf(mendPart(fault.part).part);
    time += cpu() - start;
  }
  return [count(`${cases} planted faults, mended`, left), ms(`${cases} planted faults`, time)];
}

/** A thousand bars of proposals; in every fifth a fault: a chord too wide, a note off the harp, a letter in two inflections. */
function long(): Measure[] {
  const blocks = proposed('bench').filter(
    ({ planned: { passage: p } }) => p.sweeps.length + p.trembles.length === 0,
  );
  const bars = makeBars({ beats: 4, unit: 4 }, BARS);
  const block = bars[4]?.start ?? 0;
  const plucks: Pluck[] = [];
  for (let k = 0; k * 4 < BARS; k++) {
    for (const p of blocks[k % blocks.length]?.planned.passage.plucks ?? [])
      plucks.push({ ...p, id: `${k}.${p.id}`, onset: ticks(p.onset + k * block) });
  }
  for (let b = 0; b < BARS; b += FAULTY) {
    const from = bars[b]?.start ?? 0;
    const low = plucks.find((p) => p.onset >= from && p.hand === 'L') ?? plucks.find((p) => p.onset >= from);
    if (low === undefined) continue;
    const kind = (b / FAULTY) % 3;
    const pitch =
      kind === 0
        ? octaveShift(low.pitch, 2)
        : kind === 1
          ? { ...low.pitch, octave: 9 }
          : { ...octaveShift(low.pitch, 1), alter: low.pitch.alter === 0 ? (1 as const) : (0 as const) };
    plucks.push({ ...low, id: `fault${b}`, pitch });
  }
  plucks.sort((a, b) => a.onset - b.onset || diatonicIndex(a.pitch) - diatonicIndex(b.pitch));
  const first = blocks[0]?.planned.passage;
  if (first === undefined) throw new Error('no proposal to repeat');
  const part: PartToCheck = {
    passage: { ...first, bars, plucks, rolls: [], chords: [], damps: [] },
    markings: { settings: [], moves: [] },
  };
  const before = errorsOf(part);
  const start = cpu();
  const after = errorsOf(mendPart(part).part);
  return [
    count(`${BARS} bars, ${BARS / FAULTY} of them with a fault, before`, before),
    count(`${BARS} bars, mended`, after),
    ms(`${BARS} bars, mended and judged`, cpu() - start),
  ];
}

export async function bench(): Promise<Measure[]> {
  return [...published(), ...planted(), ...long()];
}
