/** Which figures play a bar: stretches of it matched backwards, joined by one choice of cells, then played forward. */

import { type Metre, countTicks } from '../../../src/music/metre';
import type { PublishedBar } from './bars';
import { type Entry, Library, type Way, signature } from './library';
import { type Solution, solve } from './solve';
import { type Stretch, verify } from './verify';

const libraries = new Map<string, Library>();
function libraryOf(metre: Metre): Library {
  const key = `${metre.beats}/${metre.unit}`;
  const known = libraries.get(key) ?? new Library(metre);
  libraries.set(key, known);
  return known;
}

/** Where chords may change: on the written beats, and on even shares of the bar (up to eight). */
function boundaries(bar: PublishedBar): number[] {
  const count = countTicks(bar.metre);
  const beats = bar.length / count;
  const step = beats <= 4 ? count / 2 : count;
  return Array.from({ length: Math.round(bar.length / step) + 1 }, (_, i) => i * step);
}

interface Path {
  readonly way: Way;
  readonly stretches: readonly Stretch[];
}

export interface Match {
  readonly family: string;
  readonly variant: string;
}

/** Answers tried forward for one family before it is given up on a bar. */
const MOST_TRIALS = 12;

/** The families that play the bar, each with the first variant found; empty where none does. */
export function matchesOf(bar: PublishedBar): Match[] {
  const edges = boundaries(bar);
  if (edges.at(-1) !== bar.length) return [];
  const library = libraryOf(bar.metre);
  const solved = new Map<string, Solution[]>();
  const solutionsOf = (entry: Entry, i: number, j: number, struck: PublishedBar['plucks']): Solution[] => {
    const key = `${entry.score} ${i} ${j}`;
    let known = solved.get(key);
    if (known === undefined) {
      known = solve(entry, struck, edges[i] as number);
      solved.set(key, known);
    }
    return known;
  };
  const matches = new Map<string, Match>();
  const trials = new Map<string, number>();
  const test = (path: Path, closing: boolean): void => {
    const { family, variant } = path.way;
    const tried = trials.get(family) ?? 0;
    if (matches.has(family) || tried >= MOST_TRIALS) return;
    trials.set(family, tried + 1);
    if (verify(bar, path.way, path.stretches, closing))
      matches.set(family, { family, variant: variant.name });
  };

  // Paths alive at each edge, by way; `open[0]` also holds every way, since nothing is chosen yet.
  const alive: Map<number, Path>[] = edges.map(() => new Map<number, Path>());
  const fresh = edges.map((_, i) => i === 0);
  const lastOnset = bar.plucks.at(-1)?.onset ?? 0;
  for (let i = 0; i < edges.length - 1; i++) {
    const here = alive[i] as Map<number, Path>;
    if (!fresh[i] && here.size === 0) continue;
    for (let j = edges.length - 1; j > i; j--) {
      const [from, to] = [edges[i] as number, edges[j] as number];
      const struck = bar.plucks.filter((p) => p.onset >= from && p.onset < to);
      const there = alive[j] as Map<number, Path>;
      if (struck.length === 0) {
        if (fresh[i] === true) fresh[j] = true;
        for (const [id, path] of here) if (!there.has(id)) there.set(id, path);
        continue;
      }
      const sign = signature(struck.map((s) => ({ onset: s.onset - from, hand: s.hand })));
      for (const entry of library.find(to - from, sign)) {
        if (entry.closing && to <= lastOnset) continue;
        let solutions: Solution[] | null = null;
        const extend = (way: Way, before: readonly Stretch[]): Path | null => {
          solutions ??= solutionsOf(entry, i, j, struck);
          return solutions.length === 0 ? null : { way, stretches: [...before, { from, to, solutions }] };
        };
        if (entry.closing) {
          const [way] = entry.ways as [Way];
          const paces = new Set(entry.ways.map((w) => w.perBeat));
          if (fresh[i] === true) {
            const path = extend(way, []);
            if (path !== null) test(path, true);
          }
          for (const path of here.values()) {
            if (path.way.variant !== entry.variant || !paces.has(path.way.perBeat)) continue;
            const longer = extend(path.way, path.stretches);
            if (longer === null) break;
            test(longer, true);
          }
          continue;
        }
        for (const way of entry.ways) {
          const before = fresh[i] === true ? [] : here.get(way.id)?.stretches;
          if (before === undefined || there.has(way.id)) continue;
          const path = extend(way, before);
          if (path === null) break;
          there.set(way.id, path);
        }
      }
    }
  }
  for (const path of (alive.at(-1) as Map<number, Path>).values()) test(path, false);
  return [...matches.values()];
}
