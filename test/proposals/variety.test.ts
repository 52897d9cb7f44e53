// The choice from candidates: likeness, and a list in which families mix.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ALIKE, type Candidate, chooseVaried, likeness } from '../../src/proposals/variety';

const candidate = (id: string, family: string, total: number, ...events: number[]): Candidate => ({
  id,
  family,
  total,
  events: new Set(events),
});

describe('likeness', () => {
  it('is 100 for the same, 0 for nothing shared, and symmetric', () => {
    expect(likeness(new Set([1, 2]), new Set([1, 2]))).toBe(100);
    expect(likeness(new Set([1, 2]), new Set([3]))).toBe(0);
    const set = fc.array(fc.nat(20)).map((a) => new Set(a));
    fc.assert(fc.property(set, set, (a, b) => likeness(a, b) === likeness(b, a)));
  });
  it('counts shared events over all events (Jaccard)', () => {
    expect(likeness(new Set([1, 2, 3]), new Set([2, 3, 4]))).toBe(50);
  });
});

describe('chooseVaried', () => {
  it('takes the cheapest first', () => {
    const picked = chooseVaried([candidate('a', 'x', 30, 1), candidate('b', 'y', 10, 2)], 2);
    expect(picked.map((c) => c.id)).toEqual(['b', 'a']);
  });
  it('mixes families: a second one of a family waits behind a slightly dearer other', () => {
    const picked = chooseVaried(
      [candidate('a1', 'a', 10, 1), candidate('a2', 'a', 11, 2), candidate('b1', 'b', 20, 3)],
      3,
    );
    expect(picked.map((c) => c.id)).toEqual(['a1', 'b1', 'a2']);
  });
  it('shows only the cheaper of two alike', () => {
    const picked = chooseVaried([candidate('a', 'a', 10, 1, 2, 3), candidate('b', 'b', 5, 1, 2, 3)], 2);
    expect(picked.map((c) => c.id)).toEqual(['b']);
  });
  it('never returns two alike, nor more than asked', () => {
    const arb = fc.array(
      fc.record({
        family: fc.constantFrom('a', 'b', 'c'),
        total: fc.nat(50),
        events: fc.array(fc.nat(9), { minLength: 1 }),
      }),
      { maxLength: 12 },
    );
    fc.assert(
      fc.property(arb, fc.nat(6), (rows, count) => {
        const all = rows.map((r, i) => candidate(`c${i}`, r.family, r.total, ...r.events));
        const picked = chooseVaried(all, count);
        expect(picked.length).toBeLessThanOrEqual(count);
        for (const a of picked)
          for (const b of picked) if (a !== b) expect(likeness(a.events, b.events)).toBeLessThan(ALIKE);
      }),
    );
  });
});

describe('every family', () => {
  it('is heard before any is heard twice, however dear it is', () => {
    const all = [candidate('a1', 'a', 1, 1), candidate('a2', 'a', 2, 2), candidate('b1', 'b', 500, 3)];
    expect(chooseVaried(all, 2).map((c) => c.id)).toEqual(['a1', 'b1']);
  });
});
