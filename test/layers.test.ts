// Layers point one way: no upward import, no circle, no exemption (the order is that of DEVELOPERS.md).
import { readFileSync, readdirSync, statSync } from 'node:fs';
import { dirname, join, relative, resolve, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';

const SRC = fileURLToPath(new URL('../src', import.meta.url));

/** What each layer may import from, besides itself. */
const MAY: Record<string, readonly string[]> = {
  base: [],
  music: ['base'],
  harp: ['base', 'music'],
  harmony: ['base', 'music'],
  interchange: ['base', 'music', 'harp'],
  playability: ['base', 'music', 'harp'],
  pedals: ['base', 'music', 'harp'],
  figures: ['base', 'music', 'harp', 'harmony'],
  reduction: ['base', 'music', 'harp', 'harmony', 'figures'],
  proposals: [
    'base',
    'music',
    'harp',
    'harmony',
    'interchange',
    'playability',
    'pedals',
    'figures',
    'reduction',
  ],
  engraving: ['base', 'music', 'harp', 'harmony', 'interchange', 'proposals'],
  sound: ['base', 'music', 'harp'],
  playback: ['base', 'music', 'harp', 'sound', 'worker'],
  cli: [
    'base',
    'music',
    'harp',
    'harmony',
    'interchange',
    'playability',
    'pedals',
    'figures',
    'reduction',
    'proposals',
    'engraving',
    'sound',
  ],
  worker: [
    'base',
    'music',
    'harp',
    'harmony',
    'interchange',
    'playability',
    'pedals',
    'figures',
    'reduction',
    'proposals',
    'engraving',
    'sound',
  ],
  app: [
    'base',
    'music',
    'harp',
    'harmony',
    'interchange',
    'playability',
    'pedals',
    'figures',
    'reduction',
    'proposals',
    'engraving',
    'sound',
    'playback',
    'worker',
    'ui',
  ],
  ui: [
    'base',
    'music',
    'harp',
    'harmony',
    'interchange',
    'playability',
    'pedals',
    'figures',
    'reduction',
    'proposals',
    'engraving',
    'sound',
    'playback',
    'worker',
    'app',
  ],
};

function filesUnder(folder: string): string[] {
  return readdirSync(folder).flatMap((name) => {
    const path = join(folder, name);
    if (statSync(path).isDirectory()) return filesUnder(path);
    return /\.(ts|svelte)$/.test(name) && !name.endsWith('.d.ts') ? [path] : [];
  });
}

const EXTENSIONS = ['', '.ts', '.svelte', '.svelte.ts', '/index.ts'];
function target(from: string, specifier: string): string | null {
  const base = resolve(dirname(from), specifier.replace(/\?.*$/, ''));
  for (const extension of EXTENSIONS) {
    try {
      if (statSync(base + extension).isFile()) return base + extension;
    } catch {
      continue;
    }
  }
  return null;
}

const files = filesUnder(SRC);
const edges = files.flatMap((file) => {
  const text = readFileSync(file, 'utf8');
  const specifiers = [
    ...text.matchAll(/(?:\bfrom\s+|\bimport\s*\(?\s*|new URL\(\s*)(['"])(\.{1,2}\/[^'"]+)\1/g),
  ].map((m) => m[2] as string);
  return specifiers.map((specifier) => ({ from: file, specifier, to: target(file, specifier) }));
});
const layerOf = (file: string): string => relative(SRC, file).split(sep)[0] as string;
const short = (file: string): string => relative(SRC, file);

describe('layers', () => {
  it('sees the source', () => {
    expect(files.length).toBeGreaterThan(15);
    expect(edges.length).toBeGreaterThan(15);
    expect([...new Set(files.map(layerOf))].filter((layer) => !(layer in MAY))).toEqual([]);
  });

  it('resolves every relative import', () => {
    expect(edges.filter((e) => e.to === null).map((e) => `${short(e.from)} -> ${e.specifier}`)).toEqual([]);
  });

  it('imports only from layers below', () => {
    const upward = edges.filter((e) => {
      if (e.to === null || !e.to.startsWith(SRC)) return false;
      const [a, b] = [layerOf(e.from), layerOf(e.to)];
      return a !== b && !(MAY[a] ?? []).includes(b);
    });
    expect(upward.map((e) => `${short(e.from)} -> ${short(e.to as string)}`)).toEqual([]);
  });

  it('has no circle of files', () => {
    const next = new Map<string, string[]>();
    for (const e of edges) if (e.to !== null) next.set(e.from, [...(next.get(e.from) ?? []), e.to]);
    const done = new Set<string>();
    const circles: string[] = [];
    const walk = (file: string, path: readonly string[]): void => {
      if (path.includes(file)) {
        circles.push([...path.slice(path.indexOf(file)), file].map(short).join(' -> '));
        return;
      }
      if (done.has(file)) return;
      for (const to of next.get(file) ?? []) walk(to, [...path, file]);
      done.add(file);
    };
    for (const file of files) walk(file, []);
    expect(circles).toEqual([]);
  });
});
