// Rules for whole parts, each on a worked example of its source: what rings, what blurs, what is covered, what tires.
import { describe, expect, it } from 'vitest';
import { NATURAL_SETTING, withPosition } from '../../src/harp/setting';
import { PART_RULES, judge } from '../../src/playability/judge';
import { DEFAULT_LIMITS } from '../../src/playability/limits';
import { type Note, line, partVerdicts, planned } from './build';

describe('a pedal under a ringing string', () => {
  // Wire strings are worst, the top two octaves forgive after half a second (common practice).
  const moved = (name: string, to: string, gap: number, extra = {}) =>
    partVerdicts(
      planned([...line(name, 1, 'L'), ...line(to, 1, 'L', gap)], {
        moves: [{ at: gap, to: to.slice(0, -1) }],
        ...extra,
      }),
      'pedal-ring',
    );
  it('is heard for two seconds on wire, one in the middle, half a second at the top', () => {
    expect(moved('F2', 'F#4', 1.9)).toEqual(['1.9 warning 1.9 > 2']);
    expect(moved('F2', 'F#4', 2.1)).toEqual([]);
    expect(moved('F3', 'F#4', 1.4)).toEqual(['1.4 warning 1.4 > 1.5']);
    expect(moved('F4', 'F#5', 0.9)).toEqual(['0.9 warning 0.9 > 1']);
    expect(moved('F4', 'F#5', 1.1)).toEqual([]);
    expect(moved('F6', 'F#5', 0.45)).toEqual(['0.45 warning 0.45 > 0.5']);
    expect(moved('F6', 'F#5', 0.55)).toEqual([]);
  });
  it('is not heard when the string is damped first, or plucked again', () => {
    expect(moved('F2', 'F#4', 1.5, { damps: [{ at: 1 }] })).toEqual([]);
    expect(moved('F4', 'F#4', 0.8)).toEqual([]);
  });
});

describe('damping', () => {
  // Damp marks at changes of the bass, where low strings ring on (UBC; Rimsky-Korsakov).
  const bass = (a: string, b: string, gap: number, extra = {}) =>
    partVerdicts(planned([...line(a, 1, 'L'), ...line(b, 1, 'L', gap)], extra), 'damping');
  it('is wanted where the bass moves by step over a bass that rings', () => {
    expect(bass('C2', 'D2', 1)).toEqual(['1 warning 1 > 2']);
    expect(bass('C2', 'D2', 2)).toEqual([]);
    // A run through the bass is no new bass.
    expect(bass('C2', 'D2', 0.2)).toEqual([]);
    expect(bass('F2', 'B2', 1)).toEqual(['1 warning 1 > 2']);
  });
  it('is not, under a fifth or an octave, above C3, nor where it is marked', () => {
    expect(bass('C2', 'G2', 1)).toEqual([]);
    expect(bass('C2', 'C1', 1)).toEqual([]);
    expect(bass('C3', 'D3', 1)).toEqual([]);
    expect(bass('C2', 'D2', 1, { damps: [{ at: 1, below: 14 }] })).toEqual([]);
  });
  it('of all strings takes both hands and half a second (Sibelius Academy; common practice)', () => {
    const two = (gap: number, below?: number) =>
      partVerdicts(
        planned([...line('C3', 1, 'L'), ...line('E5', 1, 'R', gap), ...line('C4', 1, 'L', 2)], {
          damps: [{ at: gap / 2, ...(below === undefined ? {} : { below }) }],
        }),
        'damp-time',
      );
    expect(two(0.5)).toEqual([]);
    expect(two(0.4)).toEqual(['0.2 warning 0.4 > 0.5 all']);
    // The low strings alone are damped by the left hand, which is free here.
    expect(two(0.4, 14)).toEqual([]);
    const left = planned(line('C2 D2', 0.2, 'L'), { damps: [{ at: 0.1, below: 14 }] });
    expect(partVerdicts(left, 'damp-time')).toEqual(['0.1 warning 0.2 > 0.25 low']);
  });
});

describe('close chords in the bass', () => {
  const says = (names: string) => partVerdicts(planned([{ at: 0, names, hand: 'L' }]), 'blur');
  it('blur below C3, where octave, fifth and tenth are open (UBC; Rimsky-Korsakov)', () => {
    expect(says('C2 E2 G2')).toEqual(['0 warning 2 > 4']);
    expect(says('F2 A2')).toEqual(['0 warning 2 > 4']);
    expect(says('C2 G2 C3')).toEqual([]);
    expect(says('C2 C3 E3')).toEqual([]);
    expect(says('G2 B2 D3')).toEqual(['0 warning 2 > 4']);
    expect(says('C3 E3 G3')).toEqual([]);
  });
  it('take in both hands: what one plucks and the other', () => {
    const p = planned([
      { at: 0, names: 'G2', hand: 'L' },
      { at: 0, names: 'B2 D3', hand: 'R' },
    ]);
    expect(partVerdicts(p, 'blur')).toEqual(['0 warning 2 > 4']);
  });
});

describe('balance', () => {
  const says = (names: string, more: Partial<Note>) =>
    partVerdicts(planned([{ at: 0, names, ...more }]), 'balance');
  it('does not force the top octave (Berlioz, p. 89)', () => {
    expect(says('F6 A6', { dynamic: 'ff' })).toEqual(['0 warning ff > f forced']);
    expect(says('F6 A6', { dynamic: 'f' })).toEqual([]);
    expect(says('E6', { dynamic: 'ff' })).toEqual([]);
  });
  it('knows what an orchestra covers: single low strings, harmonics and étouffés marked loud', () => {
    expect(says('D2', { dynamic: 'ff', hand: 'L' })).toEqual(['0 warning ff > mf low']);
    expect(says('D2 D3', { dynamic: 'ff', hand: 'L' })).toEqual([]);
    expect(says('D2', { dynamic: 'mf', hand: 'L' })).toEqual([]);
    expect(says('A3', { dynamic: 'f', hand: 'L', technique: 'harmonic' })).toEqual(['0 warning f > mf soft']);
    expect(says('A3', { dynamic: 'f', hand: 'L', technique: 'etouffe' })).toEqual(['0 warning f > mf soft']);
  });
});

describe('stamina', () => {
  const tires = (p: ReturnType<typeof planned>) => partVerdicts(p, 'stamina');
  const scale = (count: number, octave: number): string =>
    Array.from({ length: count }, (_, i) => `${'CDEFGAB'[i % 7]}${octave}`).join(' ');
  const long = { bars: 20 };
  it('warns of a bisbigliando of more than eight seconds, with the bar where a rest would help', () => {
    const tremble = (lasts: number) => planned([], { trembles: [{ at: 0, lasts, R: 'E4 G4', L: 'C4' }] });
    expect(tires(tremble(8))).toEqual([]);
    expect(tires(tremble(10))).toEqual(['0 warning 10 > 8 bisbigliando']);
    const rests = (p: ReturnType<typeof planned>) =>
      judge(p, DEFAULT_LIMITS, PART_RULES).find((x) => x.code === 'stamina')?.detail?.['rests'];
    expect(rests(tremble(10))).toBe('3');
    expect(rests(tremble(20))).toBe('3, 5');
  });
  it('warns of octaves without a break (Harp Legacy), not of slow ones, nor with a rest between', () => {
    const octaves = (count: number, per: number): Note[] =>
      scale(count, 3)
        .split(' ')
        .map((low, i) => ({ at: i * per, names: `${low} ${low[0]}4`, hand: 'L' }));
    expect(tires(planned(octaves(16, 1), long))).toEqual([]);
    expect(tires(planned(octaves(18, 1), long))).toEqual(['0 warning 17 > 15 octaves']);
    expect(tires(planned(octaves(16, 1.5), long))).toEqual([]);
    const rested = [...octaves(10, 1), ...octaves(10, 1).map((n) => ({ ...n, at: n.at + 11 }))];
    expect(tires(planned(rested, long))).toEqual([]);
    // A chord that fills its octave is no octave.
    const chords = octaves(18, 1).map((n, i) => ({
      ...n,
      names: n.names.replace(' ', ` ${'EFGABCD'[i % 7]}${i % 7 > 4 ? 4 : 3} `),
    }));
    expect(tires(planned(chords, long))).toEqual([]);
  });
  it('warns of stretches beyond an octave that go on (Harp Legacy)', () => {
    const tenths = 'C3+E4 D3+F4 E3+G4 F3+A4 G3+B4 A3+C5 C3+E4 D3+F4 E3+G4 F3+A4 G3+B4 A3+C5 C3+E4 D3+F4';
    expect(tires(planned(line(`${tenths} E3+G4 F3+A4 G3+B4`, 1, 'L'), long))).toEqual([
      '0 warning 16 > 15 stretches',
    ]);
    expect(tires(planned(line(tenths, 1, 'L'), long))).toEqual([]);
  });
  it('warns of long runs of étouffés and of harmonics, which strain a hand (Harp Legacy)', () => {
    const run = (technique: 'etouffe' | 'harmonic', count: number) =>
      planned(
        line(scale(count, 3), 1, 'L').map((n) => ({ ...n, technique })),
        { bars: 10 },
      );
    expect(tires(run('etouffe', 10))).toEqual([]);
    expect(tires(run('etouffe', 13))).toEqual(['0 warning 12 > 10 etouffes']);
    expect(tires(run('harmonic', 20))).toEqual([]);
    expect(tires(run('harmonic', 24))).toEqual(['0 warning 23 > 20 harmonics']);
  });
  it('warns of a loud top octave without a break (Berlioz, p. 89: it is not to be forced)', () => {
    const top = (count: number, dynamic: 'f' | 'mf') =>
      planned(
        line(
          'G6 A6 B6 C7 D7 E7 F7'.repeat(2).replace('F7G6', 'F7 G6').split(' ').slice(0, count).join(' '),
          1,
        ).map((n) => ({ ...n, dynamic })),
        { bars: 6 },
      );
    expect(tires(top(10, 'f'))).toEqual([]);
    expect(tires(top(13, 'f'))).toEqual(['0 warning 12 > 10 top']);
    expect(tires(top(13, 'mf'))).toEqual([]);
  });
  it('warns of fast playing for more than a minute', () => {
    const fast = (seconds: number) =>
      planned(
        Array.from({ length: seconds * 10 }, (_, i) => ({
          at: i / 10,
          names: `${'CEGBDFA'[i % 7]}${3 + (i % 4)}`,
          hand: i % 8 < 4 ? ('L' as const) : ('R' as const),
        })),
        { bars: 20 },
      );
    expect(tires(fast(59))).toEqual([]);
    expect(tires(fast(70))).toHaveLength(1);
    expect(tires(fast(70))[0]).toMatch(/^0 warning 6\d.*> 60 fast$/);
  });
});

describe('near the soundboard and back', () => {
  const run = (marks: string, per: number) =>
    partVerdicts(
      planned(
        marks.split('').map((m, i) => ({
          at: i * per,
          names: `${'CEGCEGC'[i % 7]}${i % 7 > 2 ? 5 : 4}`,
          technique: m === 't' ? ('table' as const) : ('ordinary' as const),
        })),
      ),
      'table',
    );
  it('the hand needs a quarter of a second each way (common practice)', () => {
    expect(run('oott', 0.25)).toEqual([]);
    expect(run('oott', 0.2)).toEqual(['0.4 warning 0.2 > 0.25 travel']);
    expect(run('tt', 0.2)).toEqual([]);
  });
  it('several marks in a row are one remark', () => {
    expect(run('otot', 0.2)).toEqual(['0.2 warning 0.2 > 0.25 travel']);
    expect(run('ottto', 0.2)).toEqual(['0.2 warning 0.2 > 0.25 travel', '0.8 warning 0.2 > 0.25 travel']);
  });
  it('is no place for half a chord', () => {
    const p = planned([
      { at: 0, names: 'C4', technique: 'table' },
      { at: 0, names: 'E4' },
    ]);
    expect(partVerdicts(p, 'table')).toEqual(['0 warning both places at once > one place both']);
    const hands = planned([
      { at: 0, names: 'C4', technique: 'table', hand: 'L' },
      { at: 0, names: 'E4', hand: 'R' },
    ]);
    expect(partVerdicts(hands, 'table')).toEqual([]);
  });
});

describe('a leap to a chord', () => {
  // Two octaves take 0.45 s, a placed hand of four a quarter of a second more (common practice).
  const leap = (names: string, gap: number) =>
    partVerdicts(
      planned([
        { at: 0, names: 'C2', hand: 'L' },
        { at: gap, names, hand: 'L' },
      ]),
      'placing',
    );
  it('takes the time to get there and the time to place', () => {
    expect(leap('C4', 0.45)).toEqual([]);
    expect(leap('A3 C4 E4', 0.55)).toEqual(['0.55 warning 0.55 > 0.617']);
    expect(leap('A3 C4 E4', 0.65)).toEqual([]);
    expect(leap('G3 B3 D4 F4', 0.65)).toEqual(['0.65 warning 0.65 > 0.7']);
    expect(leap('C3 E3 G3', 0.3)).toEqual([]);
  });
  it('is a leap first where even that has no time', () => {
    const p = planned([
      { at: 0, names: 'C2', hand: 'L' },
      { at: 0.3, names: 'A3 C4 E4', hand: 'L' },
    ]);
    expect(partVerdicts(p, 'placing')).toEqual([]);
    expect(partVerdicts(p, 'leap')).toHaveLength(1);
  });
});

describe('chords that strain', () => {
  const says = (names: string) => partVerdicts(planned([{ at: 0, names }]), 'strain');
  it('have the second finger beside the thumb in a tenth (Harp Legacy)', () => {
    expect(says('C4 G4 D5 E5')).toEqual(['0 warning 9 > 9 thumb']);
    expect(says('C4 D5 E5')).toEqual(['0 warning 9 > 9 thumb']);
    expect(says('C4 G4 C5 E5')).toEqual([]);
    expect(says('C4 C5 D5')).toEqual([]);
  });
  it('have more than a sixth from second to fourth finger (common practice)', () => {
    expect(says('C4 F4 B4 D5')).toEqual(['0 warning 6 > 5 fourth']);
    expect(says('C4 E4 A4 D5')).toEqual([]);
  });
});

describe('fast octaves in one hand', () => {
  const run = (names: string, per: number) => partVerdicts(planned(line(names, per, 'R')), 'octaves');
  it('speak better as single notes (Berlioz, p. 88)', () => {
    expect(run('C4+C5 E4+E5 G4+G5 C5+C6', 0.15)).toEqual(['0 warning 6.7 > 5']);
    expect(run('C4+C5 E4+E5 G4+G5 C5+C6', 0.2)).toEqual([]);
    expect(run('C4+C5 E4+E5 G4+G5', 0.15)).toEqual([]);
    expect(run('C4 E4 G4 C5', 0.15)).toEqual([]);
  });
});

describe('harmonics with open strings', () => {
  it('are not for one hand: it stops the string and plucks it (Kuntz; common practice)', () => {
    const p = (hand: 'R' | 'L') =>
      planned([
        { at: 0, names: 'C4', technique: 'harmonic' },
        { at: 0, names: 'E4', hand },
      ]);
    expect(partVerdicts(p('R'), 'harmonics', 'mixed')).toEqual(['0 warning 1 > 0 mixed']);
    expect(partVerdicts(p('L'), 'harmonics', 'mixed')).toEqual([]);
  });
});

describe('keys of many sharps', () => {
  it('are better written as flats: B as C♭, F♯ as G♭, C♯ as D♭ (Berlioz, p. 86; Prout, p. 74)', () => {
    const key = (fifths: number) => {
      const start = (['F', 'C', 'G', 'D', 'A', 'E', 'B'] as const)
        .slice(0, Math.max(0, fifths))
        .reduce((s, letter) => withPosition(s, letter, 1), NATURAL_SETTING);
      return partVerdicts(planned(line('B4', 1), { fifths, start }), 'sharp-key');
    };
    expect(key(4)).toEqual([]);
    expect(key(5)).toEqual(['0 warning 5 > 7']);
    expect(key(6)).toEqual(['0 warning 6 > 6']);
    expect(key(7)).toEqual(['0 warning 7 > 5']);
    expect(key(-7)).toEqual([]);
    const later = planned(line('B4 B4', 4), { keys: [{ at: 4, fifths: 5 }] });
    expect(partVerdicts(later, 'sharp-key')).toEqual(['4 warning 5 > 7']);
  });
});

describe('fast chromatic runs', () => {
  const run = (names: string, per: number) => partVerdicts(planned(line(names, per)), 'chromatic');
  it('ask a pedal for each semitone (Berlioz, p. 85; four changes a second, Volpé Bligh)', () => {
    expect(run('C5 C#5 D5 D#5 E5 F5', 0.2)).toEqual(['0 warning 5 > 4']);
    expect(run('C5 C#5 D5 D#5 E5 F5', 0.25)).toEqual([]);
    expect(run('C5 C#5 D5 D#5 E5', 0.2)).toEqual([]);
    expect(run('C5 D5 E5 F5 G5 A5', 0.2)).toEqual([]);
  });
  it('end where they turn', () => {
    expect(run('A5 C5 C#5 D5 D#5 E5 F5 E5 Eb5 D5 Db5 C5 G5', 0.2)).toEqual([
      '0.2 warning 5 > 4',
      '1.2 warning 5 > 4',
    ]);
  });
});
