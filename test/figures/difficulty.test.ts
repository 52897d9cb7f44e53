// Difficulty: plain figures that can be counted by hand, and their word.
import { describe, expect, it } from 'vitest';
import { difficulty } from '../../src/figures/difficulty';
import { line, planned } from '../playability/build';

describe('difficulty', () => {
  it('counts an octave in slow halves as easy', () => {
    expect(difficulty(planned(line('C4+C5 D4+D5 C4+C5', 2)))).toEqual({
      stretch: 8,
      leap: 0,
      speed: 1,
      placing: 2000,
      feet: 0,
      word: 'easy',
    });
  });
  it('counts instants of the busier hand in one second', () => {
    const quick = difficulty(
      planned([...line('C4 E4 G4 C5 G4 E4 C4 E4', 0.125), ...line('C3 G3', 0.5, 'L')]),
    );
    expect([quick.speed, quick.stretch, quick.placing]).toEqual([8, 1, null]);
    expect(quick.word).toBe('hard');
  });
  it('counts a leap only where it is quick', () => {
    expect(difficulty(planned(line('C4 C6', 0.5))).leap).toBe(14);
    expect(difficulty(planned(line('C4 C6', 1))).leap).toBe(0);
  });
  it('calls tenths in haste very hard, and says the time to place them', () => {
    const wild = difficulty(planned(line('C3+E4 A3+C5 E4+G5', 0.25)));
    expect([wild.stretch, wild.placing, wild.word]).toEqual([10, 250, 'very hard']);
  });
  it('finds nothing hard in nothing', () => {
    expect(difficulty(planned([]))).toEqual({
      stretch: 1,
      leap: 0,
      speed: 0,
      placing: null,
      feet: 0,
      word: 'easy',
    });
  });
});
