// A long part held against every rule: 500, 1,000 and 5,000 bars, of proposals repeated and of published parts joined.
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { ticks } from '../../src/base/units';
import { type Bar, makeBars } from '../../src/music/metre';
import { type Passage, type Pluck, type Roll, passageEnd } from '../../src/music/passage';
import { type PartToCheck, checkInSteps, checkPart } from '../../src/proposals/check';
import { propose } from '../../src/proposals/propose';
import { readPart } from '../../src/interchange/read-part';
import { DATA, dataBytes, dataFiles, hasData } from '../shared/data';
import type { Measure } from './main';

const TEXT = 'Ebmaj7 | Cm9 | Fm7 Bb7b9 | Eb6/9 | Abmaj7 | Am7b5 D7b9 | Gm7 C7 | Fm7 Bb13';

const NONE = { settings: [], moves: [] };

/** A part of so many bars, from one proposal after another. */
function longPart(count: number, marked: boolean): PartToCheck {
  const metre = { beats: 4, unit: 4 };
  const { proposals } = propose({
    text: TEXT,
    metre,
    milliBpm: 80_000,
    seed: 'bench',
    count: 8,
    families: [],
    start: null,
    aim: 'practical',
    key: null,
    title: '',
  });
  const plain = proposals.filter(({ planned: { passage: p } }) => p.sweeps.length + p.trembles.length === 0);
  const bars = makeBars(metre, count);
  const block = bars[8]?.start ?? 0;
  const plucks: Pluck[] = [];
  const settings: PartToCheck['markings']['settings'][number][] = [];
  const moves: PartToCheck['markings']['moves'][number][] = [];
  for (let k = 0; k * 8 < count; k++) {
    const planned = plain[k % plain.length]?.planned;
    if (planned === undefined) break;
    const on = (t: number) => ticks(t + k * block);
    for (const p of planned.passage.plucks) plucks.push({ ...p, id: `${k}.${p.id}`, onset: on(p.onset) });
    settings.push({ onset: on(0), setting: planned.start });
    for (const m of planned.moves) moves.push({ onset: on(m.onset), letter: m.letter, to: m.to });
  }
  const first = plain[0]?.planned.passage;
  if (first === undefined) throw new Error('no proposal to repeat');
  const passage = { ...first, bars, plucks, rolls: [], chords: [], damps: [] };
  return { passage, markings: marked ? { settings, moves } : { settings: [], moves: [] } };
}

const without = (part: PartToCheck): PartToCheck => ({
  ...part,
  passage: { ...part.passage, plucks: part.passage.plucks.map((p) => ({ ...p, hand: null })) },
});

/** Published harp parts, or studies for the piano, one after another until there are so many bars; null without the data. */
function joined(folder: 'harp-parts' | 'piano', wanted: RegExp, count: number): PartToCheck | null {
  if (!hasData || !existsSync(join(DATA, folder))) return null;
  const parts = dataFiles(folder)
    .filter((name) => wanted.test(name))
    .map((name) => {
      const read = readPart(name, dataBytes(folder, name));
      if (!read.ok) throw new Error(name);
      return read.value.passage;
    });
  const bars: Bar[] = [];
  const plucks: Pluck[] = [];
  const rolls: Roll[] = [];
  let start = 0;
  for (let k = 0; bars.length < count; k++) {
    const passage = parts[k % parts.length] as Passage;
    const on = (t: number) => ticks(t + start);
    for (const b of passage.bars)
      bars.push({ ...b, index: bars.length, number: String(bars.length + 1), start: on(b.start) });
    for (const p of passage.plucks) plucks.push({ ...p, id: `${k}.${p.id}`, onset: on(p.onset) });
    for (const r of passage.rolls)
      rolls.push({ ...r, id: `${k}.${r.id}`, plucks: r.plucks.map((id) => `${k}.${id}`) });
    start += passageEnd(passage);
  }
  const first = parts[0] as Passage;
  return { passage: { ...first, bars, plucks, rolls, damps: [], chords: [], tempo: [] }, markings: NONE };
}

/** Most memory in use at the steps of a check, in megabytes beyond what was in use before. */
function peak(part: PartToCheck): number {
  const collect = (globalThis as { gc?: () => void }).gc;
  collect?.();
  const before = process.memoryUsage().heapUsed;
  let most = 0;
  for (const share of checkInSteps(part)) {
    // What is garbage by now is not in use; without `--expose-gc` it counts.
    if (share >= 0) collect?.();
    most = Math.max(most, process.memoryUsage().heapUsed - before);
  }
  return most / 1_000_000;
}

export async function bench(): Promise<Measure[]> {
  const out: Measure[] = [];
  const time = (name: string, part: PartToCheck): void => {
    const [start, used] = [performance.now(), process.cpuUsage()];
    const { onsets } = checkPart(part);
    out.push({ name: `${name} (${onsets} onsets)`, value: performance.now() - start, unit: 'ms' });
    // What others run at the same time slows the clock and not this.
    const { user, system } = process.cpuUsage(used);
    out.push({ name: '  of processor time', value: (user + system) / 1000, unit: 'ms' });
  };
  checkPart(longPart(64, true));
  for (const bars of [500, 1000, 5000]) {
    time(`${bars} bars with marks`, longPart(bars, true));
    time(`${bars} bars as printed`, longPart(bars, false));
  }
  time('1000 bars as printed, hands searched', without(longPart(1000, false)));
  for (const bars of [1000, 5000]) {
    for (const [name, folder, wanted] of [
      ['published harp parts', 'harp-parts', /\.musicxml$/],
      ['piano studies', 'piano', /^chopin-010/],
    ] as const) {
      const part = joined(folder, wanted, bars);
      if (part === null) continue;
      time(`${bars} bars of ${name}`, part);
      time(`${bars} bars of ${name}, hands searched`, without(part));
      if (bars === 5000)
        out.push({ name: `${bars} bars of ${name}: most memory`, value: peak(without(part)), unit: 'MB' });
    }
  }
  return out;
}
