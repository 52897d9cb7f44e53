// One fault of a known kind is planted into each of 500 parts: the checker finds it every time, at its place.
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random';
import { readPart } from '../../src/interchange/read-part';
import type { Problem } from '../../src/base/problem';
import { barAndBeat } from '../../src/music/metre';
import { type PartToCheck, checkPart } from '../../src/proposals/check';
import { propose } from '../../src/proposals/propose';
import { type Ground, PLANTS, type Planted } from '../cases/plants';
import { DATA, dataBytes, dataFiles, hasData, needsData } from '../shared/data';
import { existsSync } from 'node:fs';
import { join } from 'node:path';

const PARTS = 500;

const TEXTS = ['Ebmaj7 | Cm9 | Fm7 Bb7b9 | Eb6/9', 'Cmaj7 | A7b9 | Dm9 | G13', 'F#m7 | B7 | Emaj7 | C#m7b5'];

/** Parts made here, as they would be read from their files: with marks, and with every hand given. */
function ownParts(): Ground[] {
  return TEXTS.flatMap((text, i) => {
    const answer = propose({
      text,
      metre: { beats: 4, unit: 4 },
      milliBpm: [66_000, 80_000, 96_000][i] as number,
      seed: String(i),
      count: 8,
      families: [],
      start: null,
      aim: 'practical',
      key: null,
      title: '',
    });
    return answer.proposals.map(({ id, planned }): Ground => {
      const markings = {
        settings: [{ onset: 0 as never, setting: planned.start }],
        moves: planned.moves.map(({ onset, letter, to }) => ({ onset, letter, to })),
      };
      return { name: `${i} ${id}`, part: { passage: planned.passage, markings }, planned, marked: true };
    });
  });
}

/** Published parts: without marks. */
function publishedParts(): Ground[] {
  if (!hasData || !existsSync(join(DATA, 'harp-parts'))) return [];
  return dataFiles('harp-parts')
    .filter((f) => f.endsWith('.musicxml'))
    .flatMap((name): Ground[] => {
      const read = readPart(name, dataBytes('harp-parts', name));
      if (!read.ok) throw new Error(name);
      const part: PartToCheck = read.value;
      const { planned } = checkPart(part);
      return part.passage.plucks.length < 400 ? [{ name, part, planned, marked: false }] : [];
    });
}

const key = (p: Problem): string =>
  p.where.kind === 'music'
    ? `${p.code} ${p.severity} ${p.detail?.['kind'] ?? ''} ${p.where.onset} ${p.where.ids.join(' ')}`
    : '';

/** Whether a problem is the planted one: its code and severity, at the bar and beat (or naming the note) planted. */
function isIt(p: Problem, planted: Planted): boolean {
  if (p.code !== planted.code || p.severity !== planted.severity || p.where.kind !== 'music') return false;
  if (planted.kind === 'near') {
    const gap = Math.abs(p.where.onset - planted.onset);
    return gap <= 3360;
  }
  if (planted.kind !== undefined && p.detail?.['kind'] !== planted.kind) return false;
  return planted.names === undefined
    ? p.where.onset === planted.onset
    : p.where.ids.includes(planted.names) && p.where.onset <= planted.onset;
}

/** Kinds for which no part made here has a place. */
const NEED_DATA = ['no time', 'a pedal under a ringing string', 'octaves without a break'];

describe(`planted faults${needsData}`, () => {
  const own = ownParts();
  const published = publishedParts();
  const grounds = [...own, ...published].filter((g) =>
    (['R', 'L'] as const).every((hand) => g.part.passage.plucks.some((p) => p.hand === hand)),
  );
  const before = new Map(grounds.map((g) => [g, checkPart(g.part).problems]));

  it('begin from parts without errors of their own, where they are made here', () => {
    expect(own.length).toBe(24);
    const errors = own.flatMap((g) => checkPart(g.part).problems.filter((p) => p.severity === 'error'));
    expect(errors.map(key)).toEqual([]);
  });

  it('are found every time, at their bar and beat, by their code', () => {
    const random = seededRandom('planted');
    const names = Object.keys(PLANTS);
    const counts = new Map<string, number>();
    const missed: string[] = [];
    let parts = 0;
    for (let turn = 0; parts < PARTS && turn < 4 * PARTS; turn++) {
      // Each kind in turn, on the first part drawn that has a place for it.
      const name = names[turn % names.length] as string;
      let ground = random.pick(grounds);
      let planted: Planted | null = null;
      for (let tries = 0; planted === null && tries < 200; tries++) {
        ground = random.pick(grounds);
        const drawn = (PLANTS[name] as (typeof PLANTS)[string])(ground, random);
        // Where the part has this very remark already, a plant would show nothing.
        const there = drawn !== null && (before.get(ground) ?? []).some((p) => isIt(p, drawn));
        planted = there ? null : drawn;
      }
      if (planted === null) continue;
      parts++;
      counts.set(name, (counts.get(name) ?? 0) + 1);
      const known = new Set((before.get(ground) ?? []).map(key));
      const { problems } = checkPart(planted.part);
      const found = problems.some((p) => isIt(p, planted) && !known.has(key(p)));
      if (found) continue;
      const { bar, beat } = barAndBeat(planted.part.passage.bars, planted.onset);
      const near = problems.filter((p) => p.code === planted.code).map(key);
      missed.push(
        `${name}: ${ground.name} bar ${bar} beat ${beat} (${planted.onset}) but ${near.slice(0, 4).join('; ')}`,
      );
    }
    expect(missed).toEqual([]);
    expect(parts).toBe(PARTS);
    // Every kind was planted, and often (some need parts that only the data set has).
    const expected =
      published.length > 0 ? names : names.filter((n) => !NEED_DATA.some((k) => n.startsWith(k)));
    expect([...counts.keys()].sort()).toEqual([...expected].sort());
    expect(names.length).toBeGreaterThanOrEqual(15);
    expect(Math.min(...counts.values())).toBeGreaterThanOrEqual(3);
  }, 60_000);
});
