// The check of hands: what passes, and the name of each breach.
import { describe, expect, it } from 'vitest';
import { ticks } from '../../src/base/units';
import { checkHands, repeatTime } from '../../src/figures/limits';
import { compassOf } from '../../src/figures/register';
import { CONCERT_HARP } from '../../src/harp/instrument';
import { makeBars } from '../../src/music/metre';
import type { Passage, Pluck } from '../../src/music/passage';
import { type Pitch } from '../../src/music/pitch';

const HARP = compassOf(CONCERT_HARP);
const FOUR = { beats: 4, unit: 4 };

describe('the check of hands', () => {
  const pitch = (name: string): Pitch => ({
    letter: name[0] as Pitch['letter'],
    alter: 0,
    octave: Number(name[1]),
  });
  const passage = (
    list: readonly [beat: number, name: string, hand: 'L' | 'R', more?: Partial<Pluck>][],
  ): Passage => ({
    title: '',
    bars: makeBars(FOUR, 4),
    tempo: [{ onset: ticks(0), milliBpm: 60_000 }],
    fifths: 0,
    plucks: list.map(([beat, name, hand, more], i) => ({
      id: `p${i}`,
      onset: ticks(beat * 3360),
      duration: ticks(840),
      pitch: pitch(name),
      hand,
      finger: null,
      technique: 'ordinary',
      dynamic: 'mf',
      ...more,
    })),
    rolls: [],
    sweeps: [],
    trembles: [],
    chords: [],
    damps: [],
  });
  const code = (list: Parameters<typeof passage>[0]): string | null => {
    const checked = checkHands(passage(list), HARP);
    return checked.ok ? null : (checked.problems[0]?.code ?? '');
  };
  const chord = (beat: number, names: string, hand: 'L' | 'R'): Parameters<typeof passage>[0] =>
    names.split(' ').map((n) => [beat, n, hand] as const) as unknown as Parameters<typeof passage>[0];

  it('passes what a hand does', () => {
    expect(
      code([...chord(0, 'C4 E4 G4 C5', 'R'), ...chord(0.5, 'D4 F4 A4 D5', 'R'), [1, 'C2', 'L']]),
    ).toBeNull();
  });

  it('names each breach', () => {
    expect(code(chord(0, 'C4 D4 E4 F4 G4', 'R'))).toBe('four-fingers');
    expect(code(chord(0, 'C4 F5', 'R'))).toBe('span');
    expect(code([[0, 'F2', 'R']])).toBe('right-hand-low');
    expect(code([[0, 'C1', 'L']])).toBe('range');
    expect(
      code([
        [0, 'C4', 'R'],
        [0.05, 'D4', 'R'],
      ]),
    ).toBe('hand-speed');
    expect(
      code([
        [0, 'C4', 'R'],
        [0.25, 'C6', 'R'],
      ]),
    ).toBe('leap');
    expect(code([...chord(0, 'C4 E4', 'R'), ...chord(0.125, 'D4 F4', 'R')])).toBe('placing');
    expect(code([...chord(0, 'C4 E4 G4', 'R'), ...chord(0.3, 'D4 F4 A4', 'R')])).toBe('chord-speed');
    expect(code(['C4', 'D4', 'E4', 'F4', 'G4', 'A4'].map((n, i) => [i / 10, n, 'R'] as const))).toBe(
      'line-speed',
    );
    expect(
      code([
        [0, 'C2', 'L'],
        [0.05, 'C5', 'R'],
      ]),
    ).toBe('both-hands-speed');
    expect(
      code([
        [0, 'C5', 'R'],
        [0.2, 'C5', 'R'],
      ]),
    ).toBe('repeat');
    expect(
      code([
        [0, 'C5', 'L'],
        [0, 'C5', 'R'],
      ]),
    ).toBe('one-string-twice');
    // The other hand on the same string is no sooner; on the string beside it is free.
    expect(
      code([
        [0, 'C5', 'L'],
        [0.2, 'C5', 'R'],
      ]),
    ).toBe('repeat');
    expect(
      code([
        [0, 'C5', 'L'],
        [0.2, 'D5', 'R'],
      ]),
    ).toBeNull();
    const etouffe = { technique: 'etouffe' } as const;
    expect(
      code([
        [0, 'C3', 'L', etouffe],
        [0.3, 'D3', 'L', etouffe],
      ]),
    ).toBe('etouffe-speed');
    expect(code([[0, 'A5', 'R', { technique: 'table' }]])).toBe('table-range');
    const harmonic = { technique: 'harmonic' } as const;
    expect(
      code([
        [0, 'C4', 'R', harmonic],
        [0.4, 'D4', 'R', harmonic],
      ]),
    ).toBe('harmonic-speed');
  });

  it('asks 0.25 s of a string above C4 and 0.4 s below C3', () => {
    expect(repeatTime(35)).toBe(250_000);
    expect(repeatTime(7)).toBe(400_000);
    for (let s = 1; s < 46; s++) expect(repeatTime(s)).toBeLessThanOrEqual(repeatTime(s - 1));
  });
});
