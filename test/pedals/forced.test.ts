// Where time forces more moves than the notes need: a planted pair of quick chords is named by its bar.
import { describe, expect, it } from 'vitest';
import { defaultPlanOptions, planPassage } from '../../src/pedals/plan';
import { forcedBars, forcedWords } from '../../src/pedals/forced';
import type { Passage } from '../../src/music/passage';
import { seededRandom } from '../../src/base/random';
import { randomPassage } from './random-passage';

const options = { ...defaultPlanOptions, aim: 'fewest' } as const;
const moves = (p: Passage): number | null => {
  const answer = planPassage(p, { ...options, explain: false });
  return answer.status === 'optimal' ? answer.price.moves : null;
};

describe('bars in which time forces moves', () => {
  it('are named where the fewest moves in time are more than without a clock, and nowhere else', () => {
    const random = seededRandom('forced');
    let [forced, plain] = [0, 0];
    for (let i = 0; i < 24; i++) {
      const passage = randomPassage(random, { onsets: 12, most: 3, milliBpm: 240_000 });
      const timed = moves(passage);
      if (timed === null) continue;
      const slow = moves({ ...passage, tempo: passage.tempo.map((t) => ({ ...t, milliBpm: 1_000 })) });
      const found = forcedBars(passage, options);
      if (timed === slow) {
        plain++;
        expect(found).toEqual([]);
      } else {
        forced++;
        expect(found.length).toBeGreaterThan(0);
        for (const bars of found) expect(bars.moves).toBeGreaterThan(0);
      }
    }
    expect([forced > 0, plain > 0]).toEqual([true, true]);
  });

  it('are told in words', () => {
    const bars = [
      { from: '3', to: '3', moves: 1 },
      { from: '5', to: '6', moves: 2 },
    ];
    expect(forcedWords(bars)).toBe('bar 3 and bars 5 to 6');
  });
});
