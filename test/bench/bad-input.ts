// What files cost that are broken, hostile or as large as is read: each in a process of its own with a heap of 256 MiB.
import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { BAD_FILES } from './_bad-files';
import type { Measure } from './main';

/** Mebibytes that any of them may take beyond what the program stands at. */
const MOST_MEMORY = 256;

interface Cost {
  readonly outcome: string;
  readonly cpu: number;
  readonly stood: number;
  readonly peak: number;
}

export async function bench(): Promise<Measure[]> {
  const runner = createRequire(import.meta.url).resolve('vite-node/cli');
  const script = fileURLToPath(new URL('_read-file.ts', import.meta.url));
  const root = fileURLToPath(new URL('../..', import.meta.url));
  const folder = mkdtempSync(join(tmpdir(), 'bad-input-'));
  const measures = BAD_FILES.flatMap(([what, file, make]) => {
    const path = join(folder, file);
    writeFileSync(path, make());
    const node = ['--expose-gc', `--max-old-space-size=${MOST_MEMORY}`, runner, '--root', root, script];
    const out = execFileSync(process.execPath, [...node, '--', path], { encoding: 'utf8' });
    const { outcome, cpu, stood, peak } = JSON.parse(out.trim().split('\n').at(-1) ?? '') as Cost;
    const more = Math.max(0, peak - stood);
    if (more > MOST_MEMORY) throw new Error(`${what} takes ${Math.round(more)} MiB.`);
    return [
      { name: `${what}: ${outcome}`, value: cpu, unit: 'ms of processor' },
      { name: '  memory beyond the program’s own, at the most', value: more, unit: 'MiB' },
    ];
  });
  rmSync(folder, { recursive: true });
  return measures;
}
