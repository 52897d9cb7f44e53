// An outside judge: the planner's optimum against a mixed-integer programme of MODEL.md, solved by HiGHS: each price
// term by itself, in both aims. `npm run bench -- pedals-judge` asks 500 longer passages, half of them tight in time.
import { describe, expect, it } from 'vitest';
import { TERMS_JUDGED, judgeByHighs, samples } from './judge';

const judge = await judgeByHighs();

describe('against a mixed-integer programme', () => {
  it('has the same optimum on two seeded passages for each price term', { timeout: 600_000 }, () => {
    const seen = { refused: 0, moved: 0 };
    for (const [seed, aim] of [
      ['a sample', 'practical'],
      ['another', 'fewest'],
    ] as const) {
      for (const question of samples(seed)) {
        const { fault, refused, moves } = judge(question, aim);
        expect([seed, question.term, fault]).toEqual([seed, question.term, null]);
        if (refused) seen.refused++;
        if (moves > 0) seen.moved++;
      }
    }
    expect(seen.moved).toBeGreaterThan(Object.keys(TERMS_JUDGED).length);
    expect(seen.refused).toBeGreaterThan(0);
  });
});
