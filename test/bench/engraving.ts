// Engraving in Node: the engraver's start and size; 4, 32 and 100 bars to the first systems and in all; one note changed;
// 72 bars on paper. Times are of the processor, so that a busy machine tells the same.
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { gzipSync } from 'node:zlib';
import { PAGE_MUSIC } from '../../src/engraving/defaults';
import { loadEngraver } from '../../src/engraving/engraver';
import { loadPrinter } from '../../src/engraving/printable';
import type { PlannedPassage } from '../../src/harp/planned';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { propose } from '../../src/proposals/propose';
import type { Measure } from './main';

const FOUR = ['Ebmaj7', 'Cm9', 'Fm7 Bb7b9', 'Eb6/9'];
/** Each part at a width of its own, so that none finds systems of another. */
const sizeOf = (bars: number) => ({ width: 900 + bars, scale: 44 });
const MUSIC = { ...PAGE_MUSIC, multiRests: true };

function part(bars: number): PlannedPassage {
  const text = Array.from({ length: bars }, (_, i) => FOUR[i % 4]).join(' | ');
  const [first] = propose({
    text,
    metre: { beats: 4, unit: 4 },
    milliBpm: 80_000,
    seed: '1',
    count: 1,
    families: ['wave'],
    start: null,
    aim: 'practical',
    key: null,
    title: '',
  }).proposals;
  if (first === undefined) throw new Error('No wave for the benchmark.');
  return first.planned;
}

/** One note of the middle an octave higher. */
const changed = (planned: PlannedPassage, nth: number): PlannedPassage => ({
  ...planned,
  passage: {
    ...planned.passage,
    plucks: planned.passage.plucks.map((p, i) =>
      i === Math.floor(planned.passage.plucks.length / 2) + nth
        ? { ...p, pitch: { ...p.pitch, octave: p.pitch.octave + 1 } }
        : p,
    ),
  },
});

function cost<T>(run: () => T): { value: T; ms: number } {
  const before = process.cpuUsage();
  const value = run();
  const { user, system } = process.cpuUsage(before);
  return { value, ms: (user + system) / 1000 };
}

export async function bench(): Promise<Measure[]> {
  const file = readFileSync(createRequire(import.meta.url).resolve('verovio/wasm'));
  const before = process.cpuUsage();
  const engrave = await loadEngraver();
  const ready = process.cpuUsage(before);
  const out: Measure[] = [
    { name: 'engraver, loaded at the first search or part', value: file.length / 1024, unit: 'KiB' },
    { name: 'the same, gzipped', value: gzipSync(file).length / 1024, unit: 'KiB' },
    { name: 'engraver ready', value: (ready.user + ready.system) / 1000, unit: 'ms of processor' },
  ];
  const ask = (xml: string, bars: number, early?: number): number => {
    const page = engrave(xml, early === undefined ? sizeOf(bars) : { ...sizeOf(bars), early });
    if (!page.ok) throw new Error('The engraver refused the benchmark.');
    return page.value.systems.length;
  };
  // Programs run slowly at first: the page warms its engraver while it searches.
  ask(writeMusicXml(part(8), PAGE_MUSIC), 0);
  for (const bars of [4, 32, 100]) {
    const planned = part(bars);
    const written = cost(() => writeMusicXml(planned, MUSIC));
    const first = cost(() => ask(written.value, bars, 12));
    const rest = cost(() => ask(written.value, bars));
    const other = cost(() => writeMusicXml(changed(planned, 0), MUSIC));
    const again = cost(() => ask(other.value, bars));
    const unit = 'ms of processor';
    out.push(
      { name: `${bars} bars: written as MusicXML`, value: written.ms, unit },
      { name: `${bars} bars: first systems (${first.value})`, value: first.ms, unit },
      {
        name: `${bars} bars: all systems (${rest.value}), the first included`,
        value: first.ms + rest.ms,
        unit,
      },
      { name: `${bars} bars, one note changed: written and engraved`, value: other.ms + again.ms, unit },
      { name: `${bars} bars, one note changed: engraved`, value: again.ms, unit },
    );
  }
  const print = await loadPrinter();
  const paper = part(72);
  print(part(8));
  const printed = cost(() => print(paper));
  out.push({ name: '72 bars on paper', value: printed.ms, unit: 'ms of processor' });
  return out;
}
