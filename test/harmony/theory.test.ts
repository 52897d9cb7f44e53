// The wrapper round tonal: nothing guessed, nothing shared.

import { ScaleType } from 'tonal';
import { describe, expect, it } from 'vitest';
import { scaleSemitones, tonalChordTones, tonalSuffixes } from '../../src/music/theory';

describe('the wrapper round tonal', () => {
  it('answers only what the dictionary holds', () => {
    expect(tonalChordTones('C', 'maj7')).toEqual([
      { letter: 'C', alter: 0 },
      { letter: 'E', alter: 0 },
      { letter: 'G', alter: 0 },
      { letter: 'B', alter: 0 },
    ]);
    for (const [root, suffix] of [
      ['c', ''],
      ['H', ''],
      ['C', '7(b9)'],
      ['C', 'garbage'],
      ['C/E', ''],
      ['', 'm'],
    ] as const)
      expect(tonalChordTones(root, suffix), root + suffix).toBeNull();
    expect(scaleSemitones('zz')).toBeNull();
    expect(scaleSemitones('')).toBeNull();
  });

  it('hands out copies', () => {
    const suffixes = tonalSuffixes();
    suffixes.length = 0;
    expect(tonalSuffixes()).toHaveLength(214);
    const steps = scaleSemitones('major') ?? [];
    steps.push(99);
    expect(scaleSemitones('major')).toEqual([0, 2, 4, 5, 7, 9, 11]);
    expect(ScaleType.get('major').chroma).toBe('101011010101');
  });
});
