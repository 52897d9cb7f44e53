/** Reductions of the shared piano pieces: what is kept, by the measures of src/reduction/QUALITY.md, beside the baseline. */

import { existsSync, readFileSync, readdirSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { readPart } from '../../src/interchange/read-part';
import { checkPart } from '../../src/proposals/check';
import { reduce } from '../../src/proposals/reduce';
import { measureKept } from '../../src/reduction/measure';
import type { Kept } from '../../src/reduction/types';
import { heard } from './_reduce-heard';
import { deleteUntilPlayable } from './_reduce-baseline';
import type { Measure } from './main';
import { ticks } from '../../src/base/units';
import { type Passage, passageEnd } from '../../src/music/passage';

const FOLDER = fileURLToPath(new URL('../../../shared/data/piano/', import.meta.url));
const NAMES = ['top', 'bass', 'harmony', 'thirds'] as const;
const percent = (x: number): string => (Math.floor(x * 1000) / 10).toFixed(1).padStart(6);
const row = (k: Kept, moves: number): string =>
  `${NAMES.map((n) => percent(k[n])).join(' ')} ${moves.toFixed(2).padStart(6)}`;

/** Milliseconds of processor time used so far. */
const cpu = (): number => {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
};

/** The piece whose repetitions show how the time grows. */
const GROWS = 'chopin-028-1-bh-001';

/** A piece played several times without a break. */
function repeated(piece: Passage, times: number): Passage {
  const end = passageEnd(piece);
  const copies = Array.from({ length: times }, (_, k) => ({ k, by: k * end }));
  const bars = copies.flatMap(({ k, by }) =>
    piece.bars.map((b) => ({ ...b, index: b.index + k * piece.bars.length, start: ticks(b.start + by) })),
  );
  const plucks = copies.flatMap(({ k, by }) =>
    piece.plucks.map((p) => ({ ...p, id: `${p.id}~${k}`, onset: ticks(p.onset + by) })),
  );
  return { ...piece, bars, plucks, rolls: [], trembles: [], sweeps: [], damps: [] };
}

export async function bench(): Promise<Measure[]> {
  if (!existsSync(FOLDER)) {
    console.log('  the shared piano pieces are absent: nothing measured');
    return [];
  }
  const sums = { ours: [0, 0, 0, 0, 0], plain: [0, 0, 0, 0, 0] };
  const counts = new Map<string, number>();
  let growing: Passage | null = null;
  let [pieces, errors, time, bars, slowest] = [0, 0, 0, 0, 0];
  console.log(
    `  ${'piece'.padEnd(34)}    top   bass  harm. thirds  moves |    top   bass  harm. thirds  moves (plain) | errors, warnings, ms CPU for 100 bars | strokes a second, ringing, low, peak`,
  );
  for (const file of readdirSync(FOLDER).sort()) {
    const read = readPart(file, readFileSync(FOLDER + file));
    if (!read.ok) continue;
    const piano = read.value.passage;
    const start = cpu();
    const made = reduce({ passage: piano });
    const ms = cpu() - start;
    if (made === null) continue;
    const xml = writeMusicXml(made.planned);
    const back = readPart('harp.musicxml', new TextEncoder().encode(xml));
    if (!back.ok) throw new Error(`${file}: what was written cannot be read`);
    const report = checkPart(back.value);
    const wrong = report.problems.filter((p) => p.severity === 'error').length;
    const ours = measureKept(piano, back.value.passage, made.chords);
    const plan = deleteUntilPlayable(piano);
    const plainBack = readPart('plain.musicxml', new TextEncoder().encode(writeMusicXml(plan)));
    if (!plainBack.ok) throw new Error(`${file}: the baseline cannot be read`);
    const plain = measureKept(piano, plainBack.value.passage, made.chords);
    const n = piano.bars.length;
    const sound = heard(made.planned);
    for (const c of made.changes) counts.set(c.code, (counts.get(c.code) ?? 0) + 1);
    if (file.includes(GROWS)) growing = piano;
    [...NAMES.map((name) => ours[name]), made.planned.moves.length / n].forEach((v, i) => {
      sums.ours[i] = (sums.ours[i] ?? 0) + v;
    });
    [...NAMES.map((name) => plain[name]), plan.moves.length / n].forEach((v, i) => {
      sums.plain[i] = (sums.plain[i] ?? 0) + v;
    });
    console.log(
      `  ${file.slice(0, 34).padEnd(34)} ${row(ours, made.planned.moves.length / n)} | ${row(plain, plan.moves.length / n)}         | ${wrong}, ${report.problems.length - wrong}, ${((ms * 100) / n).toFixed(0)} | ${sound.densest}, ${sound.ringing}, ${sound.low}, ${sound.peak.toFixed(2)}`,
    );
    pieces++;
    errors += wrong;
    time += ms;
    bars += n;
    slowest = Math.max(slowest, (ms * 100) / n);
  }
  console.log(
    `  changes: ${[...counts]
      .sort((a, b) => b[1] - a[1])
      .map(([code, n]) => `${code} ${n}`)
      .join(', ')}`,
  );
  const growth: Measure[] = [];
  for (const times of growing === null ? [] : [1, 2, 4]) {
    const start = cpu();
    const long = repeated(growing as Passage, times);
    reduce({ passage: long });
    const value = ((cpu() - start) * 100) / long.bars.length;
    growth.push({
      name: `growth: a piece ${times} times (${long.bars.length} bars), 100 bars, CPU`,
      value,
      unit: 'ms',
    });
  }
  const mean = (kind: 'ours' | 'plain'): Measure[] =>
    [...NAMES, 'moves a bar'].map((name, i) => ({
      name: `${kind}, mean of ${pieces}: ${name}`,
      value: ((sums[kind][i] ?? 0) * (i < 4 ? 100 : 1)) / Math.max(1, pieces),
      unit: i < 4 ? '%' : 'moves',
    }));
  return [
    ...mean('ours'),
    ...mean('plain'),
    { name: 'errors, read back from the files', value: errors, unit: 'errors' },
    ...growth,
    { name: '100 bars, mean, CPU', value: (time * 100) / Math.max(1, bars), unit: 'ms' },
    { name: '100 bars, slowest piece, CPU', value: slowest, unit: 'ms' },
  ];
}
