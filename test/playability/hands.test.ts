// Hands searched for parts that come without.
import { describe, expect, it } from 'vitest';
import { assignHands } from '../../src/playability/hands';
import { judge } from '../../src/playability/judge';
import { line, planned } from './build';

const handsOf = (p: ReturnType<typeof planned>): string =>
  assignHands(p.passage)
    .plucks.map((x) => x.hand)
    .join('');

describe('assigning hands', () => {
  it('keeps hands that are given', () => {
    const p = planned([{ at: 0, names: 'C3 E5', hand: 'R' }]);
    expect(assignHands(p.passage)).toBe(p.passage);
    const mixed = planned([
      { at: 0, names: 'C6', hand: 'L' },
      { at: 0, names: 'C5', hand: null },
    ]);
    expect(assignHands(mixed.passage).plucks[0]?.hand).toBe('L');
  });
  it('shares eight notes out four and four', () => {
    expect(handsOf(planned([{ at: 0, names: 'C3 E3 G3 C4 E4 G4 C5 E5', hand: null }]))).toBe('LLLLRRRR');
  });
  it('gives the bass to the left and the top to the right', () => {
    expect(handsOf(planned([{ at: 0, names: 'C2 E5', hand: null }]))).toBe('LR');
    expect(handsOf(planned(line('C2 C6 C2 C6', 0.3, null)))).toBe('LRLR');
  });
  it('finds hands for what one hand could not do', () => {
    const wide = planned([{ at: 0, names: 'C3 G3 E4 C5 G5', hand: null }]);
    expect(judge(wide).filter((p) => p.severity === 'error')).toEqual([]);
  });
  it('does not divide one string between the hands', () => {
    const unison = planned([{ at: 0, names: 'C3 E3 G3 F4 F4 A4 C5', hand: null }]);
    expect(judge(unison).filter((p) => p.severity === 'error')).toEqual([]);
  });
  it('says so when no division helps', () => {
    const nine = planned([{ at: 0, names: 'C3 E3 G3 C4 E4 G4 C5 E5 G5', hand: null }]);
    expect(judge(nine).map((p) => p.code)).toContain('four-fingers');
  });
  it('is deterministic and linear in the length of the part', () => {
    const names = Array.from({ length: 300 }, (_, i) => `${'CDEFGAB'[(i * 3) % 7]}${2 + ((i * 5) % 4)}`).join(
      ' ',
    );
    const p = planned(line(names, 0.25, null));
    expect(handsOf(p)).toBe(handsOf(p));
    expect(handsOf(p)).toHaveLength(300);
  });
});
