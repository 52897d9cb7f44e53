// Sentences: clear, with their place, for every code.
import { describe, expect, it } from 'vitest';
import type { Problem } from '../../src/base/problem';
import { ticks } from '../../src/base/units';
import { makeBars } from '../../src/music/metre';
import { parseProgression } from '../../src/harmony/progression';
import { PART_RULES, RULES, judge } from '../../src/playability/judge';
import { DEFAULT_LIMITS } from '../../src/playability/limits';
import { sentence } from '../../src/playability/sentences';
import { line, planned } from './build';

const bars = makeBars({ beats: 4, unit: 4 }, 8);
const say = (p: ReturnType<typeof planned>, code: string): string[] =>
  judge(p)
    .filter((x) => x.code === code)
    .map((x) => sentence(x, p.passage.bars));

const problem = (rest: Partial<Problem>): Problem => ({
  code: 'x',
  severity: 'error',
  where: { kind: 'music', onset: ticks(0), ids: [] },
  value: 1,
  limit: 2,
  source: 'common practice',
  ...rest,
});

describe('sentences', () => {
  it('says bar and beat, found and allowed', () => {
    expect(say(planned([{ at: 9, names: 'C4 E4 G4 B4 C5' }]), 'four-fingers')).toEqual([
      'Bar 3, beat 2: the right hand has five strings; a hand plays four at most.',
    ]);
    expect(say(planned([{ at: 0.5, names: 'C4 G5' }]), 'span')).toEqual([
      'Bar 1, beat 1.5: the right hand would stretch over a twelfth (C4 to G5); an eleventh is the limit: roll the chord or share it between the hands.',
    ]);
    expect(say(planned([{ at: 0, names: 'Eb3 E4' }]), 'clash')[0]).toContain('E♭ and E are wanted at once');
    expect(say(planned(line('F#4', 1)), 'wrong-pedal')).toEqual([
      'Bar 1, beat 1: F♯4 is written, but the pedal stands at F.',
    ]);
    const two = planned([], {
      moves: [
        { at: 4, to: 'D#' },
        { at: 4, to: 'C#' },
      ],
    });
    expect(say(two, 'pedal-time')).toEqual([
      'Bar 2, beat 1: the left foot would move two pedals at once (D♯ and C♯).',
    ]);
  });
  it('counts beats in the metre’s own: eighths in 6/8', () => {
    const p = planned([{ at: 3.5, names: 'C4 E4 G4 B4 C5' }], { metre: { beats: 6, unit: 8 } });
    expect(say(p, 'four-fingers')[0]).toMatch(/^Bar 2, beat 2: /);
  });
  it('knows codes of other stages', () => {
    const text = { kind: 'text', start: 0, end: 4 } as const;
    expect(sentence(problem({ code: 'chord-symbol', where: text, value: 'Hm7', limit: 'Bm7' }), bars)).toBe(
      '“Hm7” is not a chord symbol that can be read; did you mean Bm7?',
    );
    expect(sentence(problem({ code: 'empty-progression', where: text }), [])).toMatch(/^There are no chords/);
    const clash = problem({ code: 'clash', value: 2, limit: 1, detail: { letter: 'D', alters: '-1 0' } });
    expect(sentence(clash, bars)).toContain('D♭ and D are wanted at once');
    expect(sentence(problem({ code: 'unplayable' }), bars)).toMatch(/^Bar 1, beat 1: no pedal plan/);
    const haste = problem({ code: 'pedal-haste', severity: 'warning', value: 0.3, limit: 0.5, unit: 's' });
    expect(sentence(haste, bars)).toContain('0.3 s');
  });
  it('speaks plainly of what was typed', () => {
    for (const text of ['', 'Cmaj7 | Xq | Dm7', 'ii | V7', '/ C | %', '% | C', 'C || G7 :|']) {
      const found = parseProgression(text, { metre: { beats: 4, unit: 4 }, key: null }).problems;
      for (const p of found) {
        const said = sentence(p, []);
        expect(said).toMatch(/^[A-Z“%].*[.?]$/);
        expect(said).not.toMatch(/undefined|: found/);
      }
    }
  });
  it('is sensible for codes it does not know', () => {
    expect(sentence(problem({ code: 'odd-thing', unit: 's' }), bars)).toBe(
      'Bar 1, beat 1: odd thing: found 1 s; the limit is 2 s.',
    );
    const file = { kind: 'file', bar: '12' } as const;
    expect(sentence(problem({ code: 'bad-note', where: file, value: 'Q', limit: 'A to G' }), bars)).toBe(
      'Bar 12: bad note: found Q; expected A to G.',
    );
    expect(sentence(problem({ where: { kind: 'file', line: 7 } }), bars)).toMatch(/^Line 7: /);
  });
  it('has a sentence of its own for every rule, whatever the kind, without holes', () => {
    const rough = planned(
      [
        ...line('C1 C7 C1+D2+E3+F4+G5+A6 C7 C7 C7', 0.05, 'R'),
        ...line('A7 G5+A6 Eb4+E4 C8', 0.4, 'L', 2),
        { at: 5, names: 'C3 D3 E3 G3', hand: 'R', technique: 'harmonic' },
        { at: 5.2, names: 'C2 G6', hand: 'R', technique: 'harmonic' },
        { at: 6, names: 'C4 G6', technique: 'table' },
        { at: 7, names: 'C4', technique: 'etouffe' },
        { at: 7.1, names: 'D4', technique: 'etouffe' },
        { at: 8, names: 'C4 E5 G5 B5' },
        { at: 9, names: 'C5', hand: 'R' },
        { at: 9.05, names: 'C5', hand: 'L' },
      ],
      {
        moves: [
          { at: 10, to: 'D#' },
          { at: 10, to: 'C#' },
          { at: 10.3, to: 'B#', foot: 'right' },
        ],
        trembles: [{ at: 12, lasts: 2, R: 'C5', L: '', dynamic: 'ff' }],
        sweeps: [{ at: 14, lasts: 4, hand: 'R', from: 5, to: 30, settings: [0] }],
      },
    );
    const found = judge(rough);
    expect(RULES.map((r) => r.code).filter((code) => !found.some((p) => p.code === code))).toEqual([]);
    for (const p of found) {
      const text = sentence(p, rough.passage.bars);
      expect(text).toMatch(/^Bar \d+, beat [\d.]+: .*\.$/);
      expect(text).not.toMatch(/undefined|NaN|Infinity|\(\)|  | ;|null/);
      expect(text).not.toContain(`: ${p.code.replaceAll('-', ' ')}: found`);
    }
  });
  it('has one for every rule for whole parts', () => {
    const rough = planned(
      [
        { at: 0, names: 'C2 E2 G2', hand: 'L', dynamic: 'mf' },
        { at: 0.5, names: 'A3 C4 E4', hand: 'L' },
        { at: 1, names: 'C4 G4 D5 E5' },
        { at: 1.5, names: 'C4 F4 B4 D5' },
        ...line('C4+C5 E4+E5 G4+G5 C5+C6', 0.15, 'R', 2),
        ...line('C5 C#5 D5 D#5 E5 F5 F#5', 0.1, 'R', 3),
        { at: 4, names: 'C4', technique: 'harmonic' },
        { at: 4, names: 'E4' },
        { at: 5, names: 'C4', technique: 'table' },
        { at: 5.1, names: 'E4' },
        { at: 5.2, names: 'C4', technique: 'table' },
        { at: 6, names: 'F2', hand: 'L', dynamic: 'ff' },
        { at: 7, names: 'G2', hand: 'L' },
        { at: 7.2, names: 'F#4', hand: 'L' },
        { at: 8, names: 'G6', dynamic: 'ff' },
        { at: 9, names: 'G4', technique: 'etouffe', hand: 'L', dynamic: 'ff' },
      ],
      {
        moves: [{ at: 7.1, to: 'F#' }],
        damps: [{ at: 5.15 }],
        fifths: 6,
        bars: 12,
        trembles: [{ at: 12, lasts: 20, R: 'C5 E5', L: 'G4' }],
      },
    );
    const found = judge(rough, DEFAULT_LIMITS, PART_RULES);
    const more = PART_RULES.filter((r) => !RULES.includes(r)).map((r) => r.code);
    expect(more.filter((code) => !found.some((p) => p.code === code))).toEqual([]);
    for (const p of found) {
      const text = sentence(p, rough.passage.bars);
      expect(text).toMatch(/^Bar \d+, beat [\d.]+: .*\.$/);
      expect(text).not.toMatch(/undefined|NaN|Infinity|\(\)|  | ;|null/);
      expect(text).not.toContain(`: ${p.code.replaceAll('-', ' ')}: found`);
    }
  });
});
