// Which chord tones a passage leaves out.
import { describe, expect, it } from 'vitest';
import { ticks } from '../../src/base/units';
import { parseProgression } from '../../src/harmony/progression';
import { CONCERT_HARP } from '../../src/harp/instrument';
import { NATURAL_SETTING } from '../../src/harp/setting';
import { makeBars } from '../../src/music/metre';
import type { Pitch } from '../../src/music/pitch';
import { missingTones } from '../../src/proposals/harmony-kept';

const metre = { beats: 4, unit: 4 };
const planned = (pitches: readonly Pitch[]) => ({
  passage: {
    title: '',
    bars: makeBars(metre, 1),
    tempo: [],
    fifths: 0,
    plucks: pitches.map((pitch, i) => ({
      id: `p${i}`,
      onset: ticks(0),
      duration: ticks(3360),
      pitch,
      hand: 'R' as const,
      finger: null,
      technique: 'ordinary' as const,
      dynamic: 'mf' as const,
    })),
    rolls: [],
    sweeps: [],
    trembles: [],
    chords: [],
    damps: [],
  },
  instrument: CONCERT_HARP,
  start: NATURAL_SETTING,
  moves: [],
  tuning: {},
});
const note = (letter: Pitch['letter'], alter: Pitch['alter'] = 0): Pitch => ({ letter, alter, octave: 4 });
const missing = (text: string, ...pitches: Pitch[]): number =>
  missingTones(parseProgression(text, { metre, key: null }), planned(pitches));

describe('missingTones', () => {
  it('does not miss the root or the plain fifth', () => {
    expect(missing('C7', note('E'), note('B', -1))).toBe(0);
  });
  it('misses third, seventh, tensions and an altered fifth, a third three times as much', () => {
    expect(missing('C7', note('C'), note('G'))).toBe(4);
    expect(missing('C7', note('C'), note('E'))).toBe(1);
    expect(missing('C7sus4', note('C'), note('B', -1))).toBe(3);
    expect(missing('C7#11', note('E'), note('B', -1))).toBe(1);
    expect(missing('C7b5', note('E'), note('B', -1))).toBe(1);
  });
  it('takes a homophone for the tone', () => {
    expect(missing('C7b9', note('E'), note('A', 1), note('C', 1))).toBe(0);
  });
  it('hears what a sweep touches, as the pedals stand', () => {
    const swept = planned([]);
    const sweep = {
      id: 'g0',
      onset: ticks(0),
      duration: ticks(3360),
      hand: 'R' as const,
      from: 14,
      to: 35,
      settings: [NATURAL_SETTING],
      dynamic: 'mf' as const,
    };
    const withSweep = { ...swept, passage: { ...swept.passage, sweeps: [sweep] } };
    const miss = (text: string): number =>
      missingTones(parseProgression(text, { metre, key: null }), withSweep);
    expect(miss('G13')).toBe(0);
    expect(miss('G7b9')).toBe(1);
  });
});
