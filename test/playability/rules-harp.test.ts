// Rules of strings, pedals and techniques: a case that breaks each and one that just does not.
import { describe, expect, it } from 'vitest';
import { NATURAL_SETTING, withPosition } from '../../src/harp/setting';
import { judge } from '../../src/playability/judge';
import { codes, line, planned, verdicts } from './build';

describe('range', () => {
  it('is C1 to G7 on the concert harp (Wikipedia, "Pedal harp")', () => {
    expect(verdicts(planned(line('C1 G7', 1, 'L')), 'range')).toEqual([]);
    expect(verdicts(planned(line('B0', 1, 'L')), 'range')).toEqual(['error B0 > C1–G7']);
    expect(verdicts(planned(line('A7', 1)), 'range')).toEqual(['error A7 > C1–G7']);
  });
  it('goes by the string: B♯0 sounds as C1 and has no string', () => {
    expect(verdicts(planned(line('B#0', 1, 'L')), 'range')).toEqual(['error B♯0 > C1–G7']);
  });
  it('covers the ends of a sweep', () => {
    const p = planned([], { sweeps: [{ at: 0, lasts: 1, hand: 'R', from: 20, to: 47, settings: [1093] }] });
    expect(verdicts(p, 'range')).toEqual(['error A7 > C1–G7']);
  });
});

describe('clash', () => {
  it('bars one letter in two inflections at one onset, in any octave (Berlioz, p. 85)', () => {
    const start = withPosition(NATURAL_SETTING, 'E', -1);
    const p = planned([{ at: 0, names: 'Eb3 E4' }], { start });
    expect(verdicts(p, 'clash')).toEqual(['error E♭ and E > one inflection of E letter']);
    expect(verdicts(planned([{ at: 0, names: 'Eb3 Eb4' }], { start }), 'clash')).toEqual([]);
  });
  it('leaves a string without discs its own tuning', () => {
    const p = planned([{ at: 0, names: 'Db1 D3', hand: 'L' }], { tuning: { 1: -1 } });
    expect(verdicts(p, 'clash')).toEqual([]);
    expect(verdicts(p, 'wrong-pedal')).toEqual([]);
  });
});

describe('wrong pedal', () => {
  it('wants the pedal that gives the pitch', () => {
    expect(verdicts(planned(line('F#4', 1)), 'wrong-pedal')).toEqual(['error F♯4 > F pluck']);
    const moved = planned(line('F4 F#4', 1), { moves: [{ at: 1, to: 'F#' }] });
    expect(verdicts(moved, 'wrong-pedal')).toEqual([]);
    const late = planned(line('F4 F#4 G4', 1), { moves: [{ at: 1.5, to: 'F#' }] });
    expect(verdicts(late, 'wrong-pedal')).toEqual(['error F♯4 > F pluck']);
  });
  it('lets a pedal move at the instant of the last note that needs the old position', () => {
    const p = planned(line('F4 F#4', 1), { moves: [{ at: 0, to: 'F#' }] });
    expect(verdicts(p, 'wrong-pedal')).toEqual([]);
  });
  it('knows the discless C1 and D1', () => {
    expect(verdicts(planned(line('D#1', 1, 'L')), 'wrong-pedal')).toEqual(['error D♯1 > D discless']);
    expect(verdicts(planned(line('D#1 D3', 1, 'L'), { tuning: { 1: 1 } }), 'wrong-pedal')).toEqual([]);
  });
  it('never has a doubly altered string', () => {
    expect(verdicts(planned(line('Bbb4', 1)), 'wrong-pedal')).toHaveLength(1);
  });
  it('wants one of a sweep’s settings on the letters swept, all the while', () => {
    const flatE = withPosition(NATURAL_SETTING, 'E', -1);
    const sweep = { at: 1, lasts: 1, hand: 'R' as const, from: 21, to: 34, settings: [flatE] };
    expect(verdicts(planned([], { sweeps: [sweep], start: flatE }), 'wrong-pedal')).toEqual([]);
    expect(verdicts(planned([], { sweeps: [sweep] }), 'wrong-pedal')).toEqual(['error E > E♭ sweep']);
    const during = planned([], { sweeps: [sweep], start: flatE, moves: [{ at: 1.5, to: 'E', from: -1 }] });
    expect(verdicts(during, 'wrong-pedal')).toEqual(['error E > E♭ sweep']);
    // F4 to D5 does not touch E: its pedal does not matter.
    const short = { ...sweep, from: 24, to: 29 };
    expect(verdicts(planned([], { sweeps: [short] }), 'wrong-pedal')).toEqual([]);
  });
  it('holds the pedals of a bisbigliando to its end', () => {
    const trembles = [{ at: 0, lasts: 2, R: 'C5 E5', L: 'G4' }];
    const moves = (at: number) => ({ trembles, moves: [{ at, to: 'Eb' }] });
    expect(verdicts(planned([], moves(1)), 'wrong-pedal')).toEqual(['error E5 > E♭ tremble']);
    expect(verdicts(planned([], moves(2)), 'wrong-pedal')).toEqual([]);
  });
});

describe('pedals in time', () => {
  const two = (first: string, second: string, gap: number) =>
    verdicts(
      planned([], {
        moves: [
          { at: 1, to: first },
          { at: 1 + gap, to: second },
        ],
      }),
      'pedal-time',
    );
  it('is one pedal a foot at a time, two feet at once', () => {
    expect(two('D#', 'E#', 0)).toEqual([]);
    expect(two('D#', 'C#', 0)).toEqual(['error 0 > 0.25 together']);
    expect(two('E#', 'A#', 0)).toEqual(['error 0 > 0.25 together']);
  });
  it('takes 0.35 s to a neighbour and 0.5 s farther; below 0.25 s it cannot be done', () => {
    expect(two('D#', 'C#', 0.35)).toEqual([]);
    expect(two('D#', 'C#', 0.3)).toEqual(['warning 0.3 > 0.35 gap']);
    expect(two('D#', 'C#', 0.25)).toEqual(['warning 0.25 > 0.35 gap']);
    expect(two('D#', 'C#', 0.2)).toEqual(['error 0.2 > 0.25 gap']);
    expect(two('E#', 'G#', 0.5)).toEqual([]);
    expect(two('E#', 'G#', 0.4)).toEqual(['warning 0.4 > 0.5 gap']);
  });
  it('takes 0.15 s more through two positions', () => {
    const flat = withPosition(NATURAL_SETTING, 'C', -1);
    const p = planned([], {
      start: flat,
      moves: [
        { at: 1, to: 'D#' },
        { at: 1.4, to: 'C#', from: -1 },
      ],
    });
    expect(verdicts(p, 'pedal-time')).toEqual(['warning 0.4 > 0.5 gap']);
  });
  it('keeps each foot on its side', () => {
    const side = (to: string, foot: 'left' | 'right') =>
      verdicts(planned([], { moves: [{ at: 1, to, foot }] }), 'pedal-time');
    expect(side('A#', 'right')).toEqual([]);
    expect(side('A#', 'left')).toEqual(['error left foot > right foot side']);
    expect(side('E#', 'left')).toEqual(['warning left foot > right foot side']);
  });
  it('wants a tenth of a second between the old pluck and the new', () => {
    const p = (gap: number) => planned(line('F4 F#5', gap), { moves: [{ at: gap, to: 'F#' }] });
    expect(verdicts(p(0.1), 'pedal-time')).toEqual([]);
    expect(verdicts(p(0.08), 'pedal-time')).toEqual(['warning 0.08 > 0.1 settle']);
  });
});

describe('techniques', () => {
  const t = (technique: 'harmonic' | 'table' | 'etouffe', names: string, hand: 'R' | 'L' = 'R') =>
    verdicts(
      planned([{ at: 0, names, hand, technique }]),
      technique === 'harmonic' ? 'harmonics' : technique,
    );
  it('writes harmonics from G2 to F5', () => {
    expect(t('harmonic', 'G2', 'L')).toEqual([]);
    expect(t('harmonic', 'F5')).toEqual([]);
    expect(t('harmonic', 'F2', 'L')).toEqual(['warning F2 > G2–F5 range']);
    expect(t('harmonic', 'G5')).toEqual(['warning G5 > G2–F5 range']);
  });
  it('takes one in the right hand (Kuntz) and three in the left within six strings (Sibelius Academy)', () => {
    expect(t('harmonic', 'C4 E4')).toEqual(['warning 2 > 1 many']);
    expect(t('harmonic', 'C3 E3 A3', 'L')).toEqual([]);
    expect(t('harmonic', 'C3 E3 B3', 'L')).toEqual(['warning 6 > 5 span']);
    expect(t('harmonic', 'C3 D3 E3 G3', 'L')).toEqual(['warning 4 > 3 many']);
  });
  it('takes two harmonics and three étouffés a second', () => {
    const run = (technique: 'harmonic' | 'etouffe', per: number) =>
      verdicts(
        planned(line('C3 D3 E3', per, 'L').map((n) => ({ ...n, technique }))),
        technique === 'harmonic' ? 'harmonics' : 'etouffe',
      );
    expect(run('harmonic', 0.5)).toEqual([]);
    expect(run('harmonic', 0.4)).toEqual(['warning 2.5 > 2 rate']);
    expect(run('etouffe', 0.334)).toEqual([]);
    expect(run('etouffe', 0.25)).toEqual(['warning 4 > 3 rate']);
  });
  it('has étouffés in the left hand (Canton & Overlach)', () => {
    expect(t('etouffe', 'C3', 'L')).toEqual([]);
    expect(t('etouffe', 'C4')).toEqual(['warning right hand > left hand hand']);
  });
  it('plays near the soundboard below the top of the treble staff, in octaves at most', () => {
    expect(t('table', 'F4 F5')).toEqual([]);
    expect(t('table', 'G5')).toEqual(['warning G5 > F5 range']);
    expect(t('table', 'E4 F5')).toEqual(['warning 8 > 7 span']);
  });
});

describe('bisbigliando', () => {
  const says = (R: string, L: string, dynamic: 'pp' | 'mf' = 'pp') =>
    verdicts(planned([], { trembles: [{ at: 0, lasts: 2, R, L, dynamic }] }), 'bisbigliando');
  it('has three to eight soft notes (Goss, no. 68)', () => {
    expect(says('C5 E5', 'G4')).toEqual([]);
    expect(says('C5 E5 G5 C6', 'C4 E4 G4 B4')).toEqual([]);
    expect(says('C5', 'G4')).toEqual(['warning 2 > 3 few']);
    expect(says('C5 E5 G5 B5 C6', 'C4 E4 G4 B4')).toEqual(['warning 9 > 8 many']);
    expect(says('C5 E5', 'G4', 'mf')).toEqual(['warning mf > p loud']);
  });
  it('keeps both hands busy', () => {
    const p = planned([{ at: 1, names: 'C6' }], { trembles: [{ at: 0, lasts: 2, R: 'C5 E5', L: 'G4' }] });
    expect(verdicts(p, 'bisbigliando')).toEqual(['warning 1 > 0 busy']);
  });
});

describe('sweep', () => {
  const sweep = (lasts: number, hand: 'R' | 'L' = 'R') => ({
    at: 0,
    lasts,
    hand,
    from: 16,
    to: 46,
    settings: [1093],
  });
  it('passes 15 to 45 strings a second', () => {
    const says = (lasts: number) => verdicts(planned([], { sweeps: [sweep(lasts)] }), 'sweep');
    expect(says(1)).toEqual([]);
    expect(says(2)).toEqual([]);
    expect(says(2.5)).toEqual(['warning 12 > 15 slow']);
    expect(says(0.5)).toEqual(['warning 60 > 45 fast']);
  });
  it('leaves its hand nothing else', () => {
    const p = (at: number, hand: 'R' | 'L', names = 'E4') =>
      verdicts(planned([{ at, names, hand }], { sweeps: [sweep(1)] }), 'sweep');
    expect(p(0.5, 'L')).toEqual([]);
    expect(p(1, 'R')).toEqual([]);
    expect(p(0.5, 'R')).toEqual(['error 1 > 0 busy']);
    expect(p(0, 'R', 'E3')).toEqual([]);
    expect(p(0, 'R', 'E5')).toEqual(['error 1 > 0 busy']);
    const both = planned([], { sweeps: [sweep(1), { ...sweep(1), at: 0.5 }] });
    expect(verdicts(both, 'sweep')).toEqual(['error 2 > 1 two']);
  });
  it('lets three fingers sweep side by side (Berlioz, p. 90)', () => {
    const three = [16, 18, 20].map((from) => ({ ...sweep(1), from, to: from + 25 }));
    expect(verdicts(planned([], { sweeps: three }), 'sweep')).toEqual([]);
  });
});

describe('judge', () => {
  it('sorts by onset, errors first, then code, and is deterministic', () => {
    const p = planned([
      { at: 1, names: 'C4 E4 G4 B4 F#5' },
      { at: 0, names: 'D2 C4' },
    ]);
    const all = judge(p);
    const onsets = all.map((x) => (x.where.kind === 'music' ? x.where.onset : -1));
    expect(onsets).toEqual([...onsets].sort((a, b) => a - b));
    expect(all.filter((x) => x.where.kind === 'music' && x.where.onset > 0).map((x) => x.severity)[0]).toBe(
      'error',
    );
    expect(judge(p)).toEqual(all);
    expect(all.every((x) => x.source !== '')).toBe(true);
  });
  it('has nothing to say of silence', () => {
    expect(codes(planned([]))).toEqual([]);
  });
});
