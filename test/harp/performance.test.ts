/** Rolls, sweeps and trembles as strokes in time. */

import { describe, expect, it } from 'vitest';
import { micros, ticks } from '../../src/base/units';
import { CONCERT_HARP } from '../../src/harp/instrument';
import { perform, ROLL_GAP } from '../../src/harp/performance';
import type { PlannedPassage } from '../../src/harp/planned';
import { parseSetting } from '../../src/harp/setting-text';
import { NATURAL_SETTING, withPosition } from '../../src/harp/setting';
import { makeBars } from '../../src/music/metre';
import type { Passage, Pluck } from '../../src/music/passage';
import type { Letter } from '../../src/music/pitch';

const Q = 3360;
const pluck = (
  id: string,
  onset: number,
  letter: Letter,
  octave: number,
  more: Partial<Pluck> = {},
): Pluck => ({
  id,
  onset: ticks(onset),
  duration: ticks(Q),
  pitch: { letter, alter: 0, octave },
  hand: 'R',
  finger: null,
  technique: 'ordinary',
  dynamic: 'mf',
  ...more,
});
const planned = (parts: Partial<Passage>, more: Partial<PlannedPassage> = {}): PlannedPassage => ({
  passage: {
    title: 't',
    bars: makeBars({ beats: 4, unit: 4 }, 4),
    tempo: [{ onset: ticks(0), milliBpm: 60_000 }],
    fifths: 0,
    plucks: [],
    rolls: [],
    sweeps: [],
    trembles: [],
    chords: [],
    damps: [],
    ...parts,
  },
  instrument: CONCERT_HARP,
  start: NATURAL_SETTING,
  moves: [],
  tuning: {},
  ...more,
});

describe('perform', () => {
  it('starts a roll on its beat, low to high, and high to low when it goes down', () => {
    const plucks = [pluck('a', Q, 'C', 4), pluck('b', Q, 'E', 4), pluck('c', Q, 'G', 4)];
    const roll = (direction: 'up' | 'down' | 'none') =>
      perform(planned({ plucks, rolls: [{ id: 'r', plucks: ['a', 'b', 'c'], direction }] })).map((n) => [
        n.id,
        n.onset - 1_000_000,
      ]);
    expect(roll('up')).toEqual([
      ['a', 0],
      ['b', ROLL_GAP],
      ['c', 2 * ROLL_GAP],
    ]);
    expect(roll('down')).toEqual([
      ['c', 0],
      ['b', ROLL_GAP],
      ['a', 2 * ROLL_GAP],
    ]);
    expect(roll('none').map((r) => r[1])).toEqual([0, 0, 0]);
  });
  it('rolls faster before a near onset, in half the time at most', () => {
    const plucks = [pluck('a', 0, 'C', 4), pluck('b', 0, 'E', 4), pluck('d', Q / 16, 'C', 5)];
    const notes = perform(planned({ plucks, rolls: [{ id: 'r', plucks: ['a', 'b'], direction: 'up' }] }));
    expect(notes.map((n) => n.onset)).toEqual([0, 31_250, 62_500]);
  });
  it('sweeps every string evenly in the setting in force', () => {
    const parsed = parseSetting('D C B E F# G A');
    if (!parsed.ok) throw new Error('setting');
    const sweep = {
      id: 's',
      onset: ticks(0),
      duration: ticks(2 * Q),
      hand: 'R' as const,
      from: 21,
      to: 28,
      settings: [parsed.value],
      dynamic: 'f' as const,
    };
    const up = perform(planned({ sweeps: [sweep] }, { start: parsed.value }));
    expect(up.map((n) => n.midi)).toEqual([60, 62, 64, 66, 67, 69, 71, 72]);
    expect(up.map((n) => n.onset)).toEqual([0, 1, 2, 3, 4, 5, 6, 7].map((i) => i * 250_000));
    expect(up.map((n) => n.tick)).toEqual([0, 1, 2, 3, 4, 5, 6, 7].map((i) => i * 840));
    const down = perform(planned({ sweeps: [{ ...sweep, from: 28, to: 21 }] }));
    expect(down.map((n) => n.midi)).toEqual([72, 71, 69, 67, 65, 64, 62, 60]);
    const moved = perform(
      planned(
        { sweeps: [sweep] },
        { moves: [{ onset: ticks(840), letter: 'C', from: 0, to: 1, foot: 'left' }], start: NATURAL_SETTING },
      ),
    );
    expect([moved[0]?.midi, moved[7]?.midi]).toEqual([60, 73]);
    expect(withPosition(NATURAL_SETTING, 'F', 1)).toBe(parsed.value);
  });
  it('alternates the hands in a tremble and never stops before its end', () => {
    const notes = perform(
      planned({
        trembles: [
          {
            id: 't',
            onset: ticks(0),
            duration: ticks(Q),
            dynamic: 'pp',
            notes: [
              { id: 't1', pitch: { letter: 'C', alter: 0, octave: 5 }, hand: 'L' },
              { id: 't2', pitch: { letter: 'E', alter: 0, octave: 5 }, hand: 'R' },
              { id: 't3', pitch: { letter: 'G', alter: 0, octave: 5 }, hand: 'L' },
            ],
          },
        ],
      }),
    );
    expect(notes.length).toBe(12);
    expect(notes.slice(0, 4).map((n) => n.from)).toEqual(['t1', 't2', 't3', 't1']);
    expect(new Set(notes.map((n) => n.id)).size).toBe(12);
    expect(notes.at(-1)?.end).toBe(1_000_000);
  });
  it('says when a string falls silent and sounds harmonics an octave up', () => {
    const notes = perform(
      planned({
        plucks: [
          pluck('a', 0, 'C', 3),
          pluck('b', 0, 'G', 3, { technique: 'harmonic' }),
          pluck('e', 0, 'A', 3, { technique: 'etouffe' }),
          pluck('c', Q, 'C', 3),
        ],
        damps: [{ onset: ticks(2 * Q), below: 17 }],
      }),
    );
    const by = (id: string) => notes.find((n) => n.id === id);
    expect(by('a')).toMatchObject({ release: micros(1_000_000), releasedBy: 'again' });
    expect(by('c')).toMatchObject({ release: micros(2_000_000), releasedBy: 'damp' });
    expect(by('b')).toMatchObject({ release: null, midi: 67 });
    expect(by('e')?.releasedBy).toBe('etouffe');
  });
});
