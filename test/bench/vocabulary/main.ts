/** How much of published harp writing the figures can say: npm run bench:vocabulary -- DIR [--json]. */

import { statSync } from 'node:fs';
import { seededRandom } from '../../../src/base/random';
import { FAMILIES } from '../../../src/figures/families';
import { type PublishedBar, barsOf } from './bars';
import { type Match, matchesOf } from './match';
import { shapeOf } from './shape';
import { shuffleOnsets, shuffleStrings } from './shuffle';

const args = process.argv.slice(2).filter((a) => !a.endsWith('main.ts') && a !== '--');
const json = args.includes('--json');
const [folder] = args.filter((a) => !a.startsWith('--'));
if (folder === undefined || !statSync(folder, { throwIfNoEntry: false })?.isDirectory()) {
  console.error(`Give the folder of the harp parts${folder === undefined ? '' : `; “${folder}” is none`}.`);
  process.exit(2);
}

const bars = barsOf(folder);
if (bars.length === 0) {
  console.error(`No sounding bar in “${folder}”.`);
  process.exit(2);
}
const found: { readonly bar: PublishedBar; readonly matches: readonly Match[] }[] = [];
const started = performance.now();
for (const [i, bar] of bars.entries()) {
  found.push({ bar, matches: matchesOf(bar) });
  if (i % 100 === 99) console.error(`${i + 1} of ${bars.length} bars`);
}

interface Control {
  /** Bars that a shuffle changes. */
  readonly bars: number;
  readonly covered: number;
  readonly share: number;
}
const percent = (n: number, of: number): number => (of === 0 ? 0 : Math.round((1000 * n) / of) / 10);
function control(
  name: string,
  change: (bar: PublishedBar, random: ReturnType<typeof seededRandom>) => PublishedBar | null,
): Control {
  const random = seededRandom(`vocabulary ${name}`);
  const changed = bars.flatMap((bar) => change(bar, random) ?? []);
  const covered = changed.filter((bar) => matchesOf(bar).length > 0).length;
  return { bars: changed.length, covered, share: percent(covered, changed.length) };
}
const controls = {
  onsets: control('onsets', shuffleOnsets),
  strings: control('strings', shuffleStrings),
};

const covered = found.filter((f) => f.matches.length > 0);
const families = FAMILIES.map((f) => {
  const able = covered.filter((c) => c.matches.some((m) => m.family === f.id));
  const alone = able.filter((c) => c.matches.length === 1).length;
  return { family: f.id, bars: able.length, alone, share: percent(able.length, bars.length) };
}).sort((a, b) => b.bars - a.bars);
const shapes = new Map<string, number>();
for (const f of found)
  if (f.matches.length === 0) {
    const shape = shapeOf(f.bar);
    shapes.set(shape, (shapes.get(shape) ?? 0) + 1);
  }
const uncovered = [...shapes]
  .map(([shape, count]) => ({ shape, bars: count }))
  .sort((a, b) => b.bars - a.bars || (a.shape < b.shape ? -1 : 1))
  .slice(0, 20);
const byPart = [...new Set(bars.map((b) => b.part))].map((part) => {
  const own = found.filter((f) => f.bar.part === part);
  const yes = own.filter((f) => f.matches.length > 0).length;
  return { part, bars: own.length, covered: yes, share: percent(yes, own.length) };
});

if (json) {
  const document = {
    bars: bars.length,
    covered: covered.length,
    share: percent(covered.length, bars.length),
    families,
    control: controls,
    uncovered,
    parts: byPart,
  };
  console.log(JSON.stringify(document, null, 2));
} else {
  const seconds = ((performance.now() - started) / 1000).toFixed(0);
  console.log(
    `${covered.length} of ${bars.length} sounding bars: ${percent(covered.length, bars.length)}% (${seconds} s)`,
  );
  for (const [name, c] of Object.entries(controls))
    console.log(`control, ${name} shuffled: ${c.covered} of ${c.bars} that this changes: ${c.share}%`);
  console.log('\nBars that each family can play (several may), and alone');
  for (const f of families)
    if (f.bars > 0)
      console.log(
        `  ${f.family.padEnd(28)} ${String(f.bars).padStart(4)}  ${f.share.toFixed(1).padStart(5)}%  alone ${f.alone}`,
      );
  console.log('\nBy part');
  for (const p of byPart) console.log(`  ${`${p.covered}/${p.bars}`.padStart(8)}  ${p.part}`);
  console.log('\nCommonest uncovered shapes');
  for (const u of uncovered) console.log(`  ${String(u.bars).padStart(4)}  ${u.shape}`);
}
