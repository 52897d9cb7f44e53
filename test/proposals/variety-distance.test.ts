// Variety: proposals of a list stay apart by the stated margin, and a hundred seeds do not collapse to a few.
import { describe, expect, it } from 'vitest';
import { propose } from '../../src/proposals/propose';
import { APART } from '../../src/proposals/variety';
import { ASPECTS, distanceOf, featuresOf } from '../../src/proposals/variety-distance';
import { plainRequest } from './_request';

describe('the distance of proposals', () => {
  const { proposals } = propose(plainRequest('Ebmaj7 | Cm9 | Fm7 | Bb7', '5', 24));
  const features = proposals.map((p) => featuresOf(p.planned.passage));

  it('is 0 from itself, symmetric, and the sum of five whole numbers up to 100', () => {
    expect(proposals).toHaveLength(24);
    for (const a of features)
      for (const b of features) {
        const d = distanceOf(a, b);
        expect(distanceOf(b, a)).toEqual(d);
        if (a === b) expect(d.total).toBe(0);
        expect(d.total).toBe(ASPECTS.reduce((n, k) => n + d[k], 0));
        expect(ASPECTS.every((k) => Number.isInteger(d[k]) && d[k] >= 0 && d[k] <= 100)).toBe(true);
      }
  });
  it('is at least the stated margin between any two of 24', () => {
    const nearest = features.flatMap((a, i) => features.slice(i + 1).map((b) => distanceOf(a, b).total));
    expect(Math.min(...nearest)).toBeGreaterThanOrEqual(APART);
  });
});

describe('a hundred seeds', () => {
  it('do not collapse to a few: of the first proposals most lie apart from one another', () => {
    const firsts = Array.from({ length: 100 }, (_, i) =>
      propose(plainRequest('Dm7 | G7', `s${i}`, 1)).proposals.slice(0, 1),
    ).flat();
    expect(firsts).toHaveLength(100);
    const kept: ReturnType<typeof featuresOf>[] = [];
    for (const p of firsts) {
      const f = featuresOf(p.planned.passage);
      if (kept.every((k) => distanceOf(k, f).total >= APART)) kept.push(f);
    }
    expect(kept.length).toBeGreaterThanOrEqual(50);
    expect(new Set(firsts.map((p) => p.family)).size).toBeGreaterThanOrEqual(15);
  });
});
