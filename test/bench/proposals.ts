// Proposals for 8 and 32 bars, cold and warm, as page and terminal run them: bundled, since loose modules are slower.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { build } from 'vite';
import type { ProposeRequest } from '../../src/proposals/types';
import type { Measure } from './main';

const EIGHT = 'Ebmaj7 | Cm9 | Fm7 Bb7b9 | Eb6/9 | Abmaj7 | Am7b5 D7b9 | Gm7 C7 | Fm7 Bb13';

type Propose = typeof import('../../src/proposals/propose').propose;

/** The proposals as one file, made in a folder of its own. */
async function bundled(): Promise<Propose> {
  const root = fileURLToPath(new URL('../..', import.meta.url));
  const outDir = mkdtempSync(join(tmpdir(), 'harpwright-bench-'));
  try {
    await build({
      ...{ root, configFile: false, logLevel: 'error', ssr: { noExternal: true } },
      build: {
        ...{ outDir, copyPublicDir: false, target: 'node20', minify: false },
        ssr: join(root, 'src', 'proposals', 'propose.ts'),
        rollupOptions: { output: { entryFileNames: 'propose.mjs' } },
      },
    });
    const made = (await import(pathToFileURL(join(outDir, 'propose.mjs')).href)) as { propose: Propose };
    return made.propose;
  } finally {
    rmSync(outDir, { recursive: true, force: true });
  }
}

const request = (text: string, seed: string, more: Partial<ProposeRequest> = {}): ProposeRequest => ({
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
  ...more,
});

/** Milliseconds of processor. */
function time(run: () => void): number {
  const start = process.cpuUsage();
  run();
  const { user, system } = process.cpuUsage(start);
  return (user + system) / 1000;
}

const median = (values: number[]): number =>
  values.sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN;

export async function bench(): Promise<Measure[]> {
  const propose = await bundled();
  const cold = time(() => propose(request(EIGHT, 'cold')));
  for (let i = 0; i < 5; i++) propose(request(EIGHT, `w${i}`));
  const warm = Array.from({ length: 11 }, (_, i) => time(() => propose(request(EIGHT, `s${i}`))));
  const long = Array.from({ length: 5 }, (_, i) =>
    time(() => propose(request(Array.from({ length: 4 }, () => EIGHT).join(' | '), `l${i}`))),
  );
  const choices = Array.from({ length: 5 }, (_, i) =>
    time(() => propose(request(EIGHT, `c${i}`, { steering: { choices: 12 } }))),
  );
  return [
    { name: '24 proposals, 8 bars, first call in the process', value: cold, unit: 'ms CPU' },
    { name: '24 proposals, 8 bars, warm, median of 11', value: median(warm), unit: 'ms CPU' },
    {
      name: '24 proposals, 8 bars, 12 candidates a bar, median of 5',
      value: median(choices),
      unit: 'ms CPU',
    },
    { name: '24 proposals, 32 bars, warm, median of 5', value: median(long), unit: 'ms CPU' },
  ];
}
