// Smaller harps: compass, refusals, discless strings, figures; and the terminal's --harp.
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { ticks } from '../../src/base/units';
import { main } from '../../src/cli/main';
import { CONCERT_HARP, INSTRUMENTS, type Instrument } from '../../src/harp/instrument';
import { NATURAL_SETTING } from '../../src/harp/setting';
import { stringName, stringOf } from '../../src/harp/strings';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { makeBars } from '../../src/music/metre';
import type { Passage, Pluck } from '../../src/music/passage';
import type { Alter, Letter, Pitch } from '../../src/music/pitch';
import { defaultPlanOptions, planPassage } from '../../src/pedals/plan';
import { propose } from '../../src/proposals/propose';

const harp = (strings: number): Instrument => {
  const found = INSTRUMENTS.find((i) => i.highest - i.lowest + 1 === strings);
  if (found === undefined) throw new Error('no such harp');
  return found;
};
const p = (letter: Letter, octave: number, alter: Alter = 0): Pitch => ({ letter, octave, alter });
const passageOf = (pitches: readonly Pitch[]): Passage => ({
  title: '',
  bars: makeBars({ beats: 4, unit: 4 }, Math.max(1, Math.ceil(pitches.length / 4))),
  tempo: [{ onset: ticks(0), milliBpm: 60_000 }],
  fifths: 0,
  plucks: pitches.map((pitch, i): Pluck => ({
    id: `n${i}`,
    onset: ticks(i * 3360),
    duration: ticks(3360),
    pitch,
    hand: 'L',
    finger: null,
    technique: 'ordinary',
    dynamic: 'mf',
  })),
  rolls: [],
  sweeps: [],
  trembles: [],
  chords: [],
  damps: [],
});
const plan = (pitches: readonly Pitch[], instrument: Instrument) =>
  planPassage(passageOf(pitches), { ...defaultPlanOptions, aim: 'fewest', instrument });
const code = (answer: ReturnType<typeof plan>): string | undefined => answer.problems[0]?.code;

describe('compass', () => {
  it('is that of the trade: D1–G7, D1–E7, A1–E7 (Wikipedia, "Pedal harp"; common practice)', () => {
    const ends = [46, 44, 40].map((n) => [stringName(harp(n).lowest), stringName(harp(n).highest)]);
    expect(ends).toEqual([
      ['D1', 'G7'],
      ['D1', 'E7'],
      ['A1', 'E7'],
    ]);
  });

  it('refuses the first pitch beyond either end, and takes the last within it', () => {
    const rows: [number, Pitch, Pitch | null, Pitch, Pitch][] = [
      // strings, lowest taken, below it, highest taken, above it
      [47, p('C', 1, -1), p('B', 0, -1), p('G', 7, 1), p('A', 7)],
      [46, p('D', 1, -1), p('C', 1), p('G', 7, 1), p('A', 7)],
      [44, p('D', 1, -1), p('C', 1), p('E', 7, 1), p('F', 7, 1)],
      [40, p('A', 1, -1), p('G', 1), p('E', 7, 1), p('F', 7, 1)],
    ];
    for (const [strings, low, below, high, above] of rows) {
      const instrument = harp(strings);
      expect([strings, plan([low, high], instrument).status]).toEqual([strings, 'optimal']);
      for (const off of [below, above]) {
        if (off === null) continue;
        const answer = plan([p('C', 4), off], instrument);
        expect([strings, answer.status, code(answer)]).toEqual([strings, 'unplayable', 'range']);
        expect(answer.status === 'unplayable' && answer.conflict).toEqual(['n1']);
      }
    }
  });

  it('spells the lowest pitch on the string that is there', () => {
    // C♯1 is D♭1 where the lowest string is D1; F7 is E♯7 where the highest is E7.
    const low = plan([p('C', 1, 1)], harp(46));
    const high = plan([p('F', 7)], harp(44));
    for (const [answer, string] of [
      [low, 'D1'],
      [high, 'E7'],
    ] as const) {
      if (answer.status === 'unplayable') throw new Error('playable');
      expect(stringName(stringOf(answer.planned.passage.plucks[0]!.pitch))).toBe(string);
    }
  });
});

describe('strings without discs', () => {
  it('keep one inflection on the harps that have them; on 40 strings none is without', () => {
    expect([47, 46, 44, 40].map((n) => harp(n).discless.map(stringName))).toEqual([
      ['C1', 'D1'],
      ['D1'],
      ['D1'],
      [],
    ]);
    const both = [p('D', 1), p('C', 4), p('E', 1, -1), p('D', 1, -1)];
    for (const n of [46, 44]) expect([n, code(plan(both, harp(n)))]).toEqual([n, 'discless']);
    const low = plan([p('A', 1), p('C', 4), p('A', 1, -1)], harp(40));
    expect(low.status === 'unplayable' ? null : low.price.moves).toBe(1);
  });

  it('need no pedal move', () => {
    const answer = plan([p('D', 1, -1), p('D', 4), p('D', 1, -1), p('D', 4)], harp(46));
    expect(answer.status === 'unplayable' ? null : answer.price.moves).toBe(0);
    expect(answer.status === 'unplayable' ? null : answer.planned.tuning).toEqual({ 1: -1 });
  });
});

describe('figures', () => {
  it('stay on the strings of the harp asked for', () => {
    const request = {
      text: 'Am | Dm | G7 | C',
      metre: { beats: 4, unit: 4 },
      milliBpm: 80_000,
      seed: '5',
      count: 10,
      families: [],
      start: null,
      aim: 'practical',
      key: null,
      title: '',
    } as const;
    for (const n of [46, 44, 40]) {
      const instrument = harp(n);
      const { proposals } = propose({ ...request, instrument });
      expect(proposals.length).toBe(10);
      for (const { planned } of proposals) {
        expect(planned.instrument).toBe(instrument);
        const strings = [
          ...planned.passage.plucks.map((x) => stringOf(x.pitch)),
          ...planned.passage.sweeps.flatMap((s) => [s.from, s.to]),
        ];
        expect(Math.min(...strings)).toBeGreaterThanOrEqual(instrument.lowest);
        expect(Math.max(...strings)).toBeLessThanOrEqual(instrument.highest);
      }
    }
  });
});

describe('the terminal’s --harp', () => {
  const folder = mkdtempSync(join(tmpdir(), 'harpwright-harps-'));
  afterAll(() => rmSync(folder, { recursive: true, force: true }));
  const write = (name: string, pitches: readonly Pitch[]): string => {
    const file = join(folder, `${name}.musicxml`);
    const planned = {
      passage: passageOf(pitches),
      instrument: CONCERT_HARP,
      start: NATURAL_SETTING,
      moves: [],
      tuning: {},
    };
    writeFileSync(file, writeMusicXml(planned));
    return file;
  };
  const run = (...args: string[]) => {
    let [out, err] = ['', ''];
    const exit = main(args, { out: (t) => (out += t), err: (t) => (err += t) });
    return { exit, out, err };
  };

  it('plans and checks by the strings that the harp has', () => {
    const file = write('low', [p('F', 1), p('C', 4), p('G', 4), p('C', 5)]);
    const status = (name: string): unknown =>
      JSON.parse(run('pedals', file, '--harp', name, '--json').out).status;
    expect(['47', '46', '44', '40'].map(status)).toEqual(['optimal', 'optimal', 'optimal', 'unplayable']);
    const codes = (name: string): string[] =>
      JSON.parse(run('check', file, '--harp', name, '--json').out).problems.map(
        (x: { code: string }) => x.code,
      );
    expect(codes('40')).toContain('range');
    expect(codes('47')).not.toContain('range');
    expect(codes('lever34')).toContain('range');
  });

  it('plans levers in the keys of a pedal plan', () => {
    const file = write('levers', [p('A', 4, -1), p('E', 4), p('A', 4, -1), p('E', 4, -1)]);
    const answer = JSON.parse(run('pedals', file, '--harp', 'lever34', '--json').out);
    expect(answer).toMatchObject({ status: 'optimal', harp: 'lever-34', pedalMoves: 0, optimal: true });
    expect(answer.leverMoves).toBe(answer.moves.length);
    // Nothing sounds D flat but C raised: A flat and E stand on their own strings, and D raised plays the last.
    expect(answer.leverMoves).toBe(0);
    const flat = write('flat', [p('G', 1)]);
    const refused = run('pedals', flat, '--harp', 'lever34');
    expect([refused.exit, refused.out.includes('not on this harp')]).toEqual([1, true]);
  });

  it('says in one sentence what it does not take', () => {
    const file = write('plain', [p('C', 4)]);
    for (const args of [
      ['pedals', file, '--harp', '36'],
      ['check', file, '--harp', 'piano'],
      ['propose', 'C | G7', '--harp', 'lever34'],
    ]) {
      const { exit, out, err } = run(...args);
      expect([exit, out, err.trim().split('\n').length]).toEqual([2, '', 1]);
    }
    expect(run('propose', 'C | G7', '--harp', '40', '--count', '2').exit).toBe(0);
  });
});
