// Engraving in Node: the engraver's start, then 4, 32 and 100 bars.
import { loadEngraver } from '../../src/engraving/engraver';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { propose } from '../../src/proposals/propose';
import type { Measure } from './main';

const FOUR = ['Ebmaj7', 'Cm9', 'Fm7 Bb7b9', 'Eb6/9'];

function part(bars: number): string {
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
  return writeMusicXml(first.planned);
}

export async function bench(): Promise<Measure[]> {
  const start = performance.now();
  const engrave = await loadEngraver();
  const out: Measure[] = [{ name: 'engraver ready', value: performance.now() - start, unit: 'ms' }];
  for (const bars of [4, 32, 100]) {
    const xml = part(bars);
    const begin = performance.now();
    const page = engrave(xml, { width: 900, scale: 40 });
    if (!page.ok) throw new Error('The engraver refused the benchmark.');
    out.push({ name: `${bars} bars`, value: performance.now() - begin, unit: 'ms' });
  }
  return out;
}
