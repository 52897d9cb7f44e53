// The seeded source: same seed, same draws; forks do not disturb their parent.
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random';

const draws = (seed: string | number) => {
  const random = seededRandom(seed);
  return Array.from({ length: 8 }, () => random.below(1000));
};

describe('seededRandom', () => {
  it('repeats for a seed, and is pinned so that it repeats next year', () => {
    expect(draws(7)).toEqual(draws('7'));
    expect(draws(7)).toEqual([392, 552, 429, 557, 65, 151, 661, 839]);
  });
  it('differs between seeds', () => expect(draws(7)).not.toEqual(draws(8)));
  it('forks without disturbing the parent', () => {
    const a = seededRandom('x');
    const b = seededRandom('x');
    b.fork('side').below(10);
    expect(a.below(1 << 20)).toBe(b.below(1 << 20));
  });
  it('shuffles without loss, picks from what is there, and refuses nothing to choose from', () => {
    const random = seededRandom('y');
    expect(random.shuffle([1, 2, 3, 4]).sort()).toEqual([1, 2, 3, 4]);
    expect([1, 2, 3]).toContain(random.pick([1, 2, 3]));
    expect(() => random.pick([])).toThrow(RangeError);
    expect(() => random.below(0)).toThrow(RangeError);
  });
});
