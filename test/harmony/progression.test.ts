// Progressions: the published lines, bars and beats, and the exact place of every wrong word.

import { existsSync, readFileSync } from 'node:fs';

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { TICKS_PER_QUARTER } from '../../src/base/units';
import { readChord } from '../../src/harmony/chord';
import { parseProgression } from '../../src/harmony/progression';
import type { Progression } from '../../src/harmony/types';
import { type Metre, barTicks } from '../../src/music/metre';

const FOUR: Metre = { beats: 4, unit: 4 };
const Q = TICKS_PER_QUARTER;
const read = (text: string, metre: Metre = FOUR, key: string | null = null): Progression =>
  parseProgression(text, { metre, key });
/** 'Dm9@0+2' : text, onset and length in quarters. */
const shape = (p: Progression): string =>
  p.chords.map((c) => `${c.text}@${c.onset / Q}+${c.duration / Q}`).join(' ');
const codes = (p: Progression): string[] => p.problems.map((x) => x.code);

/** Contiguous from 0 to the end of the last bar, whole ticks. */
function expectFilled(p: Progression): void {
  let at = 0;
  for (const c of p.chords) {
    expect(c.onset).toBe(at);
    expect(Number.isInteger(c.duration) && c.duration > 0).toBe(true);
    at += c.duration;
  }
  expect(at).toBe(p.barCount * barTicks(p.metre));
}

const LINES = new URL('../../../shared/data/progressions/progressions.tsv', import.meta.url);

describe('the published progressions', () => {
  it.skipIf(!existsSync(LINES))('all 351 parse without a problem (skipped where the file is absent)', () => {
    const lines = readFileSync(LINES, 'utf8').split(/\r?\n/).slice(1).filter(Boolean);
    let clean = 0;
    for (const line of lines) {
      const [id, metre, bars] = line.split('\t') as [string, string, string];
      const [beats, unit] = metre.split('/').map(Number) as [number, number];
      const p = read(bars, { beats, unit });
      expect(p.problems, id).toEqual([]);
      expect(p.barCount, id).toBe(bars.split('|').length);
      const words = bars.split(/[|\s]+/).filter(Boolean);
      expect(p.chords.map((c) => c.text)).toEqual(words);
      expect(p.chords.every((c) => bars.slice(c.where.start, c.where.end) === c.text)).toBe(true);
      expectFilled(p);
      clean++;
    }
    expect(clean).toBe(351);
  });
});

describe('bars and beats', () => {
  it.each([
    ['C', 'C@0+4'],
    ['| C | G |', 'C@0+4 G@4+4'],
    ['|| C || G ||', 'C@0+4 G@4+4'],
    ['C F | G', 'C@0+2 F@2+2 G@4+4'],
    ['C F G Am', 'C@0+1 F@1+1 G@2+1 Am@3+1'],
    ['Dm9 / G13 /', 'Dm9@0+2 G13@2+2'],
    ['C / / G', 'C@0+3 G@3+1'],
    ['C ///', 'C@0+4'],
    ['C G /', 'C@0+1.3333333333333333 G@1.3333333333333333+2.6666666666666665'],
    ['C | / G / /', 'C@0+4 C@4+1 G@5+3'],
    ['C F | % | G', 'C@0+2 F@2+2 C@4+2 F@6+2 G@8+4'],
    ['C F | % | %', 'C@0+2 F@2+2 C@4+2 F@6+2 C@8+2 F@10+2'],
    ['N.C. | C NC', 'N.C.@0+4 C@4+2 NC@6+2'],
    ['C | G |\n| Am | F |', 'C@0+4 G@4+4 Am@8+4 F@12+4'],
    ['C | G\r\nAm | F', 'C@0+4 G@4+4 Am@8+4 F@12+4'],
    ['C |\n G', 'C@0+4 G@4+4'],
    ['C\n\n\n| G', 'C@0+4 G@4+4'],
    ['C7(b9, #11) F', 'C7(b9, #11)@0+2 F@2+2'],
    ['C G D A E B F C', 'C@0+0.5 G@0.5+0.5 D@1+0.5 A@1.5+0.5 E@2+0.5 B@2.5+0.5 F@3+0.5 C@3.5+0.5'],
  ])('%j', (text, expected) => {
    const p = read(text);
    expect(p.problems).toEqual([]);
    expect(shape(p)).toBe(expected);
    expectFilled(p);
  });

  it('counts slashes in felt beats', () => {
    expect(shape(read('C /', { beats: 6, unit: 8 }))).toBe('C@0+3');
    expect(shape(read('C G', { beats: 6, unit: 8 }))).toBe('C@0+1.5 G@1.5+1.5');
    expect(shape(read('C / G', { beats: 9, unit: 8 }))).toBe('C@0+3 G@3+1.5');
    expect(shape(read('C / / G /', { beats: 5, unit: 4 }))).toBe('C@0+3 G@3+2');
    // As many words as written eighths: each is an eighth.
    const p = read('C / / / G /', { beats: 6, unit: 8 });
    expect(shape(p)).toBe('C@0+2 G@2+1');
    expect(p.problems).toEqual([]);
  });

  it('warns of more than the bar holds, at the words that are too many', () => {
    const text = 'C | G / / / / D';
    const p = read(text);
    expect(p.problems).toMatchObject([{ code: 'bar-overfull', severity: 'warning', value: 6, limit: 4 }]);
    expect(p.problems[0]?.where).toEqual({ kind: 'text', start: text.indexOf('/ D'), end: text.length });
    expectFilled(p);
    const eleven = read(Array.from({ length: 11 }, () => 'C').join(' '));
    expect(codes(eleven)).toEqual(['bar-uneven']);
    expectFilled(eleven);
  });

  it('says what stands for nothing', () => {
    expect(read('')).toMatchObject({ barCount: 0, chords: [], problems: [{ code: 'empty-progression' }] });
    expect(codes(read(' \n | | '))).toEqual(['empty-progression']);
    expect(codes(read('% | C'))).toEqual(['nothing-to-repeat']);
    expect(codes(read('/ C'))).toEqual(['nothing-to-hold']);
    expect(codes(read('C % G'))).toEqual(['repeat-not-alone']);
    expect(codes(read('|: C :|'))).toEqual(['repeat-sign', 'repeat-sign']);
    const empty = read('C | | G');
    expect(codes(empty)).toEqual(['empty-bar']);
    expect(shape(empty)).toBe('C@0+4 C@4+4 G@8+4');
  });

  it('names a key that cannot be read, and guesses instead', () => {
    const p = read('C | G7 | C', FOUR, 'zz');
    expect(p.problems).toMatchObject([{ code: 'key-unreadable', value: 'zz' }]);
    expect(p.key).toEqual({ tonic: { letter: 'C', alter: 0 }, mode: 'major', fifths: 0 });
    expect(read('C', FOUR, '').problems).toEqual([]);
  });
});

describe('the place of a wrong word', () => {
  it('stands in the message, with what was read and what would be right', () => {
    const text = '| Ebmaj7 | Cmaj77 F |\n| am7 | xyz';
    const p = read(text);
    expect(p.problems.map((x) => [x.code, x.value, x.limit])).toEqual([
      ['unknown-chord', 'Cmaj77', 'Cmaj7'],
      ['unknown-chord', 'am7', 'Am7'],
      ['unknown-chord', 'xyz', expect.any(String)],
    ]);
    for (const x of p.problems) {
      const where = x.where as { start: number; end: number };
      expect(text.slice(where.start, where.end)).toBe(x.value);
    }
    expect(shape(p)).toBe('Ebmaj7@0+4 Ebmaj7@4+2 F@6+2 F@8+4 F@12+4');
    expectFilled(p);
  });

  it('is exact for any garbage at any place, and the other words keep their chords', () => {
    const symbols = ['C', 'Dm7', 'G7(b9,#11)', 'B♭maj7', 'F♯ø', 'D6/9/A', 'N.C.', 'Ebsus4', 'A7alt/G'];
    const garbage = fc
      .string({ minLength: 1, maxLength: 12, unit: 'grapheme' })
      .map((s) => s.replace(/[\s|‖/%()[\]:]/gu, ''))
      .filter((s) => s !== '' && s !== '𝄎' && readChord(s) === null && !/^n\.?c\.?$/i.test(s));
    const bar = fc.array(fc.constantFrom(...symbols), { minLength: 1, maxLength: 4 });
    const gap = fc.constantFrom(' ', '  ', '\t');
    const line = fc.constantFrom(' | ', '|', ' ||', '\n', ' |\r\n| ');
    let reached = 0;
    fc.assert(
      fc.property(
        fc.array(bar, { minLength: 1, maxLength: 6 }),
        garbage,
        gap,
        line,
        fc.nat(),
        fc.nat(),
        (bars, bad, space, end, i, j) => {
          const good = read(bars.map((words) => words.join(space)).join(end));
          expect(good.problems).toEqual([]);
          const at = i % bars.length;
          const spoilt = bars.map((words) => [...words]);
          const k = j % (bars[at] as string[]).length;
          (spoilt[at] as string[])[k] = bad;
          const text = spoilt.map((words) => words.join(space)).join(end);
          const p = read(text);
          expect(p.problems).toHaveLength(1);
          const [problem] = p.problems;
          const where = problem?.where as { start: number; end: number };
          expect(text.slice(where.start, where.end)).toBe(bad);
          expect(problem?.value).toBe(bad);
          expect(p.barCount).toBe(good.barCount);
          const index = bars.slice(0, at).reduce((n, words) => n + words.length, 0) + k;
          const before = p.chords[index - 1];
          p.chords.forEach((c, n) => {
            expect([c.onset, c.duration]).toEqual([good.chords[n]?.onset, good.chords[n]?.duration]);
            expect(c.chord).toEqual(n === index ? (before?.chord ?? null) : good.chords[n]?.chord);
          });
          reached++;
        },
      ),
      { numRuns: 300 },
    );
    expect(reached).toBe(300);
  });

  it('never fails and always fills its bars, whatever is typed', () => {
    const piece = fc.constantFrom(
      'C',
      'G7',
      '|',
      '||',
      '/',
      '//',
      '%',
      '\n',
      ' ',
      '(',
      ')',
      'N.C.',
      ':|',
      'iv',
      '♭',
      '𝄎',
      'q',
    );
    const text = fc.oneof(
      fc.string({ maxLength: 40, unit: 'binary' }),
      fc.array(piece, { maxLength: 30 }).map((a) => a.join('')),
    );
    const metre = fc.constantFrom<Metre>(
      FOUR,
      { beats: 6, unit: 8 },
      { beats: 5, unit: 4 },
      { beats: 2, unit: 4 },
      { beats: 12, unit: 8 },
    );
    fc.assert(
      fc.property(text, metre, fc.constantFrom(null, 'Eb', 'c'), (typed, m, key) => {
        const p = read(typed, m, key);
        expectFilled(p);
        expect(p.source).toBe(typed);
        for (const x of p.problems) {
          const where = x.where as { kind: string; start: number; end: number };
          expect(where.kind).toBe('text');
          expect(where.start >= 0 && where.start <= where.end && where.end <= typed.length).toBe(true);
        }
      }),
      { numRuns: 500 },
    );
  });

  it('stays quick on long and hostile texts', () => {
    for (const text of [
      'V/'.repeat(5000) + 'V',
      'C( '.repeat(5000),
      `C${'('.repeat(50_000)} x`,
      '/'.repeat(20_000),
    ]) {
      const p = read(text, FOUR, 'C');
      expect(p.problems.length).toBeGreaterThan(0);
      expectFilled(p);
    }
  });
});
