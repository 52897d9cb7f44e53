// Two harps: every note in one part, each part plans by itself, and what one harp cannot play two can.
import { describe, expect, it } from 'vitest';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { seededRandom } from '../../src/base/random';
import { ticks } from '../../src/base/units';
import { main } from '../../src/cli/main';
import { NATURAL_SETTING } from '../../src/harp/setting';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { CONCERT_HARP } from '../../src/harp/instrument';
import { makeBars } from '../../src/music/metre';
import type { Hand, Passage, Pluck } from '../../src/music/passage';
import { harpSpellings } from '../../src/music/pitch';
import { defaultPlanOptions, planPassage } from '../../src/pedals/plan';
import type { PlanOptions } from '../../src/pedals/types';
import { validatePlan } from '../../src/pedals/validate';
import { judge } from '../../src/playability/judge';
import { twoHarps } from '../../src/proposals/two-harps';
import { SPLIT_WAYS, divide, partOf } from '../../src/proposals/two-harps-divide';
import { randomPassage } from '../pedals/random-passage';

const fewest: PlanOptions = { ...defaultPlanOptions, aim: 'fewest' };
/** Chords by MIDI keys, one a step of so many ticks. */
function chords(list: readonly (readonly number[])[], step: number, hands: Hand | null = null): Passage {
  const plucks = list.flatMap((keys, i) =>
    keys.map((midi, n): Pluck => {
      const [pitch] = harpSpellings(midi);
      if (pitch === undefined) throw new Error('no spelling');
      return {
        id: `n${i}.${n}`,
        onset: ticks(i * step),
        duration: ticks(step),
        pitch,
        hand: hands,
        finger: null,
        technique: 'ordinary',
        dynamic: 'mf',
      };
    }),
  );
  return {
    title: 'Study',
    bars: makeBars({ beats: 4, unit: 4 }, Math.ceil((list.length * step) / (4 * 3360))),
    tempo: [{ onset: ticks(0), milliBpm: 60_000 }],
    fifths: 0,
    plucks,
    rolls: [],
    sweeps: [],
    trembles: [],
    chords: [],
    damps: [],
  };
}
/** G, G sharp and A at once: no setting holds all three (Canton & Overlach, Composing for Harp). */
const cluster = chords(
  [
    [48, 64],
    [67, 68, 69],
    [48, 64],
    [50, 65],
  ],
  3360,
);
/** C major and D flat major in turn, a bar each. */
const bar = [
  [48, 64, 67],
  [50, 65, 69],
  [47, 62, 67],
  [48, 64, 67],
];
const turns = chords(
  Array.from({ length: 16 }, (_, i) => (bar[i % 4] as number[]).map((k) => k + (Math.floor(i / 4) % 2))),
  3360,
);

describe('divisions', () => {
  it('give every note to one harp, in every way', () => {
    const random = seededRandom('divisions');
    for (let i = 0; i < 6; i++) {
      const passage = randomPassage(random, { onsets: 14, most: 4, milliBpm: 72_000, sweeps: true });
      for (const way of SPLIT_WAYS) {
        const division = divide(passage, way);
        const parts = [partOf(passage, division, 0), partOf(passage, division, 1)];
        const ids = parts.flatMap((p) => [...p.plucks, ...p.sweeps].map((x) => x.id));
        expect(ids.sort()).toEqual([...passage.plucks, ...passage.sweeps].map((x) => x.id).sort());
        for (const p of parts) expect(p.bars).toEqual(passage.bars);
      }
    }
  });

  it('are what their names say', () => {
    const harps = (way: Parameters<typeof divide>[1], of = turns): string =>
      of.plucks.map((p) => divide(of, way).get(p.id)).join('');
    expect(harps({ kind: 'bars', every: 1 }).slice(0, 24)).toBe('0'.repeat(12) + '1'.repeat(12));
    expect(harps({ kind: 'bars', every: 2 }).slice(0, 36)).toBe('0'.repeat(24) + '1'.repeat(12));
    expect(harps({ kind: 'beats', every: 1 }).slice(0, 9)).toBe('000111000');
    expect(harps({ kind: 'strokes' }).slice(0, 9)).toBe('000111000');
    const marks = [0, 1, 2, 3].map((i) => ({
      onset: ticks(i * 4 * 3360),
      text: i % 2 === 0 ? 'C' : 'Db',
      root: null,
      bass: null,
      kind: 'none',
      degrees: [],
    }));
    expect(harps({ kind: 'chords' }, { ...turns, chords: marks })).toBe(harps({ kind: 'bars', every: 1 }));
    // Of three notes the lower one is Harp II's, of two one each.
    expect(harps({ kind: 'halves' }).slice(0, 3)).toBe('100');
    expect(harps({ kind: 'halves' }, chords([[60], [60, 64], [48, 52, 55, 60]], 3360))).toBe('0101100');
    const handed = {
      ...turns,
      plucks: turns.plucks.map((p, i) => ({ ...p, hand: i % 3 === 0 ? ('L' as const) : ('R' as const) })),
    };
    expect(harps({ kind: 'hands' }, handed).slice(0, 6)).toBe('100100');
  });
});

describe('twoHarps', () => {
  it('plays what one harp cannot: G, G sharp and A together', () => {
    expect(planPassage(cluster, fewest).status).toBe('unplayable');
    const { one, best, refused } = twoHarps(cluster, fewest);
    expect(one.status).toBe('unplayable');
    expect(best?.saves).toBeNull();
    expect(['hands', 'halves', 'strokes', 'beats']).toContain(best?.way.kind);
    for (const harp of best?.harps ?? []) expect(harp.planned.passage.plucks.length).toBeGreaterThan(0);
    // By bars the cluster stays with one harp.
    expect(refused.map((r) => r.way.kind)).toContain('bars');
  });

  it('sets one harp for C and one for D flat, and says what that saves', () => {
    const { one, best } = twoHarps(turns, fewest);
    if (one.status === 'unplayable') throw new Error('playable');
    expect(one.price.moves).toBeGreaterThan(5);
    expect(best?.moves).toBe(0);
    expect(best?.saves?.moves).toBe(one.price.moves);
    expect([best?.harps[0].planned.passage.title, best?.harps[1].planned.passage.title]).toEqual([
      'Study (Harp I)',
      'Study (Harp II)',
    ]);
  });

  it('offers only parts that plan, validate and pass the rules, the cheapest first; the same each time', () => {
    const random = seededRandom('two harps');
    let [offered, better] = [0, 0];
    for (let i = 0; i < 5; i++) {
      const passage = randomPassage(random, { onsets: 10, most: 3, milliBpm: 60_000, gaps: [4, 8] });
      const answer = twoHarps(passage, fewest);
      if (i === 0) expect(twoHarps(passage, fewest)).toEqual(answer);
      const prices = answer.splits.map((s) => s.moves);
      expect(prices).toEqual([...prices].sort((a, b) => a - b));
      for (const split of answer.splits) {
        offered++;
        split.harps.forEach((harp, h) => {
          const asked = partOf(passage, split.division, h === 0 ? 0 : 1);
          const verdict = validatePlan(asked, harp.planned, fewest);
          expect(verdict.faults).toEqual([]);
          expect(verdict.price.moves).toBe(harp.price.moves);
          expect(judge(harp.planned).filter((p) => p.severity === 'error')).toEqual([]);
        });
        expect(split.moves).toBe(split.harps[0].price.moves + split.harps[1].price.moves);
      }
      if (answer.best !== null && answer.one.status !== 'unplayable' && answer.errors === 0) {
        better++;
        expect(answer.best.moves).toBeLessThanOrEqual(answer.one.price.moves);
      }
    }
    expect(offered).toBeGreaterThan(10);
    expect(better).toBeGreaterThan(0);
  });

  it('has no best where one harp is as cheap, and nothing for an empty passage', () => {
    const plain = chords(
      [
        [48, 64],
        [50, 65],
        [52, 67],
        [48, 64],
      ],
      3360,
    );
    expect(twoHarps(plain, fewest).best).toBeNull();
    const empty = twoHarps({ ...plain, plucks: [] }, fewest);
    expect([empty.splits, empty.best]).toEqual([[], null]);
  });
});

describe('in the terminal', () => {
  it('writes two parts that read back, and says the saving', () => {
    const folder = mkdtempSync(join(tmpdir(), 'harpwright-two-'));
    try {
      const file = join(folder, 'turns.musicxml');
      writeFileSync(
        file,
        writeMusicXml({
          passage: turns,
          instrument: CONCERT_HARP,
          start: NATURAL_SETTING,
          moves: [],
          tuning: {},
        }),
      );
      const run = (...args: string[]) => {
        let [out, err] = ['', ''];
        const code = main(args, { out: (t) => (out += t), err: (t) => (err += t) });
        return { code, out, err };
      };
      const done = run('two-harps', file, '--aim', 'fewest', '--out', join(folder, 'two'), '--json');
      expect([done.code, done.err]).toEqual([0, '']);
      const answer = JSON.parse(done.out);
      expect(answer.saves.moves).toBeGreaterThan(5);
      expect(
        answer.harps.map((h: { notes: number }) => h.notes).reduce((a: number, b: number) => a + b),
      ).toBe(48);
      for (const { musicxml, pedalMoves } of answer.harps) {
        const path = join(folder, 'two', musicxml);
        expect(readFileSync(path, 'utf8')).toContain('<score-partwise');
        expect(JSON.parse(run('pedals', path, '--aim', 'fewest', '--json').out).pedalMoves).toBe(pedalMoves);
      }
      expect(run('two-harps', file, '--aim', 'fewest').out).toMatch(/Two harps, .*fewer than one harp\./);
      expect(run('two-harps', file, '--harp', 'lever34').code).toBe(2);
    } finally {
      rmSync(folder, { recursive: true, force: true });
    }
  });
});
