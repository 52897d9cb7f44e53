// Runs every benchmark and prints one table: npm run bench [-- name …].
import { readdirSync } from 'node:fs';
import { cpus } from 'node:os';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { join } from 'node:path';

export interface Measure {
  readonly name: string;
  readonly value: number;
  readonly unit: string;
}

const here = fileURLToPath(new URL('.', import.meta.url));
const wanted = process.argv.slice(2).filter((arg) => !arg.startsWith('-') && !arg.endsWith('main.ts'));
const names = readdirSync(here)
  .filter((file) => file.endsWith('.ts') && file !== 'main.ts' && !file.startsWith('_'))
  .map((file) => file.replace(/\.ts$/, ''))
  .filter((name) => wanted.length === 0 || wanted.includes(name));
if (names.length === 0) {
  console.error(`No benchmark is called ${wanted.join(', ')}.`);
  process.exit(2);
}

console.log(`Node ${process.versions.node}, ${cpus().length} × ${cpus()[0]?.model ?? 'unknown processor'}`);
for (const name of names) {
  const module = (await import(pathToFileURL(join(here, `${name}.ts`)).href)) as {
    bench(): Promise<Measure[]>;
  };
  console.log(`\n${name}`);
  for (const m of await module.bench()) {
    const shown = m.value >= 100 ? m.value.toFixed(0) : m.value.toPrecision(3);
    console.log(`  ${m.name.padEnd(64)} ${shown.padStart(10)} ${m.unit}`);
  }
}
