// The joint choice of textures and pedals: 12 candidates for each of 64 bars; proposals with 12 candidates a bar; variety.
import { FAMILIES } from '../../src/figures/families';
import { parseProgression } from '../../src/harmony/progression';
import { ALL_FREE } from '../../src/pedals/tables';
import { chooseJointly } from '../../src/proposals/joint';
import { JOINT_WEIGHTS, workshop } from '../../src/proposals/joint-attempt';
import { type Material, joinCost } from '../../src/proposals/joint-material';
import { propose } from '../../src/proposals/propose';
import type { ProposeRequest } from '../../src/proposals/types';
import { APART } from '../../src/proposals/variety';
import { type Features, distanceOf, featuresOf } from '../../src/proposals/variety-distance';
import type { Measure } from './main';

const EIGHT = 'Ebmaj7 | Cm9 | Fm7 Bb7b9 | Eb6/9 | Abmaj7 | Am7b5 D7b9 | Gm7 C7 | Fm7 Bb13';
const LONG = Array.from({ length: 8 }, () => EIGHT).join(' | ');

const request = (text: string, seed: string, count: number): ProposeRequest => ({
  text,
  metre: { beats: 4, unit: 4 },
  milliBpm: 80_000,
  seed,
  count,
  families: [],
  start: null,
  aim: 'practical',
  key: null,
  title: '',
});

const isMaterial = (m: Material | readonly unknown[]): m is Material => !Array.isArray(m);

function time(run: () => void): number {
  const start = performance.now();
  run();
  return performance.now() - start;
}
const median = (values: number[]): number =>
  values.sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN;

function materials(seed: string): Material[] {
  const asked = request(LONG, seed, 1);
  const shop = workshop(asked, parseProgression(LONG, { metre: asked.metre, key: null }), FAMILIES);
  return FAMILIES.map((f) => shop.material({ family: f.id, seed }))
    .filter(isMaterial)
    .slice(0, 12);
}

/** How many of the features lie apart from all before them. */
function apart(list: readonly Features[]): number {
  const kept: Features[] = [];
  for (const f of list) if (kept.every((k) => distanceOf(k, f).total >= APART)) kept.push(f);
  return kept.length;
}

export async function bench(): Promise<Measure[]> {
  const choose = (made: readonly Material[]): void => {
    const bars = Array.from({ length: 64 }, (_, b) => made.flatMap((m) => m.bars[b]?.candidate ?? []));
    const pair = (bar: number, a: number, b: number): number =>
      joinCost(made[a] as Material, made[b] as Material, bar, 80_000);
    const answer = chooseJointly({ bars, pair, start: ALL_FREE, end: ALL_FREE, weights: JOINT_WEIGHTS });
    if (answer?.choice.length !== 64) throw new Error('no choice was made');
  };
  const draft = time(() => materials('0'));
  const choice = ['1', '2', '3', '4', '5'].map((seed) => {
    const made = materials(seed);
    if (made.length !== 12) throw new Error('not twelve candidates');
    return time(() => choose(made));
  });
  const twelve = (seed: string): ProposeRequest => ({
    ...request(EIGHT, seed, 24),
    steering: { choices: 12 },
  });
  propose(twelve('warm'));
  const full = ['a', 'b', 'c'].map((seed) => time(() => propose(twelve(seed))));
  const moves = (r: ProposeRequest): number => propose(r).proposals.reduce((n, p) => n + p.pedals.moves, 0);
  const list = propose(request(EIGHT, 'v', 24)).proposals.map((p) => featuresOf(p.planned.passage));
  const between = list.flatMap((a, i) => list.slice(i + 1).map((b) => distanceOf(a, b).total));
  const firsts = Array.from({ length: 100 }, (_, i) =>
    propose({ ...request('Dm7 | G7', `s${i}`, 1), aim: 'fewest' }).proposals.slice(0, 1),
  ).flat();
  return [
    { name: '12 drafts of 64 bars, cut and read, cold', value: draft, unit: 'ms' },
    { name: 'joint choice, 12 candidates × 64 bars, median of 5', value: median(choice), unit: 'ms' },
    { name: '24 proposals, 8 bars, 12 candidates a bar, median of 3', value: median(full), unit: 'ms' },
    {
      name: 'pedal moves in 24 proposals of one texture each',
      value: moves(request(EIGHT, 'a', 24)),
      unit: '',
    },
    { name: 'pedal moves in 24 proposals of 12 candidates a bar', value: moves(twelve('a')), unit: '' },
    { name: `nearest two of 24 (margin ${APART} of 500)`, value: Math.min(...between), unit: '' },
    { name: 'middle distance of two of 24', value: median(between), unit: '' },
    {
      name: 'first proposals of 100 seeds that lie apart',
      value: apart(firsts.map((p) => featuresOf(p.planned.passage))),
      unit: '',
    },
    { name: 'families among them', value: new Set(firsts.map((p) => p.family)).size, unit: '' },
  ];
}
