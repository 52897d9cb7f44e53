/** Our own sine, cosine and exponential against the platform's. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { cosPi, exp, powerOfTwo, sinPi } from '../../src/sound/series';

describe('series', () => {
  it('give sine and cosine of π·x within 4e-16', () => {
    fc.assert(
      fc.property(fc.double({ min: -1, max: 1, noNaN: true }), (x) => {
        expect(Math.abs(sinPi(x) - Math.sin(Math.PI * x))).toBeLessThan(4e-16);
        expect(Math.abs(cosPi(x) - Math.cos(Math.PI * x))).toBeLessThan(4e-16);
      }),
      { seed: 1, numRuns: 2000 },
    );
  });

  it('are exact where the answer is whole, however far out', () => {
    for (const n of [0, 1, 2, 7, 1000, 123_457]) {
      expect(Math.abs(sinPi(n))).toBe(0);
      expect(cosPi(n)).toBe(n % 2 === 0 ? 1 : -1);
      expect(Math.abs(cosPi(n + 0.5))).toBe(0);
      expect(sinPi(n + 0.5)).toBe(n % 2 === 0 ? 1 : -1);
    }
  });

  it('keep sine² + cosine² at one', () => {
    fc.assert(
      fc.property(fc.double({ min: -1000, max: 1000, noNaN: true }), (x) => {
        expect(Math.abs(sinPi(x) ** 2 + cosPi(x) ** 2 - 1)).toBeLessThan(5e-16);
      }),
      { seed: 2 },
    );
  });

  it('give e^x within 1e-15 of its size', () => {
    fc.assert(
      fc.property(fc.double({ min: -600, max: 600, noNaN: true }), (x) => {
        expect(Math.abs(exp(x) / Math.exp(x) - 1)).toBeLessThan(1e-15);
      }),
      { seed: 3, numRuns: 2000 },
    );
    expect(exp(0)).toBe(1);
    expect(exp(-1000)).toBe(0);
  });

  it('give powers of two exactly', () => {
    for (let k = -60; k <= 60; k++) expect(powerOfTwo(k)).toBe(2 ** k);
  });
});
