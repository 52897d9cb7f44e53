// Proposals for 8 and 32 bars, cold and warm.
import { propose } from '../../src/proposals/propose';
import type { ProposeRequest } from '../../src/proposals/types';
import type { Measure } from './main';

const EIGHT = 'Ebmaj7 | Cm9 | Fm7 Bb7b9 | Eb6/9 | Abmaj7 | Am7b5 D7b9 | Gm7 C7 | Fm7 Bb13';

const request = (text: string, seed: string): ProposeRequest => ({
  text,
  metre: { beats: 4, unit: 4 },
  milliBpm: 80_000,
  seed,
  count: 24,
  families: [],
  start: null,
  aim: 'practical',
  key: null,
  title: '',
});

function time(run: () => void): number {
  const start = performance.now();
  run();
  return performance.now() - start;
}

const median = (values: number[]): number =>
  values.sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN;

export async function bench(): Promise<Measure[]> {
  const cold = time(() => propose(request(EIGHT, 'cold')));
  for (let i = 0; i < 5; i++) propose(request(EIGHT, `w${i}`));
  const warm = Array.from({ length: 11 }, (_, i) => time(() => propose(request(EIGHT, `s${i}`))));
  const long = Array.from({ length: 5 }, (_, i) =>
    time(() => propose(request(Array.from({ length: 4 }, () => EIGHT).join(' | '), `l${i}`))),
  );
  return [
    { name: '24 proposals, 8 bars, first call in the process', value: cold, unit: 'ms' },
    { name: '24 proposals, 8 bars, warm, median of 11', value: median(warm), unit: 'ms' },
    { name: '24 proposals, 32 bars, warm, median of 5', value: median(long), unit: 'ms' },
  ];
}
