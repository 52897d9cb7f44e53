// An outside judge: the planner's optimum against a mixed-integer programme of MODEL.md, solved by HiGHS: each price
// term by itself, half of the passages tight in time, both aims. `npm run bench -- pedals-judge` asks 500 of them.
import { describe, expect, it } from 'vitest';
import { TERMS_JUDGED, judgeByHighs, questions } from './judge';

const COUNT = 2 * Object.keys(TERMS_JUDGED).length;

const judge = await judgeByHighs();

describe('against a mixed-integer programme', () => {
  it(`has the same optimum on ${COUNT} seeded passages, term by term, half of them tight`, () => {
    const seen = { refused: 0, moved: 0 };
    for (const question of questions('a sample', COUNT, 6)) {
      for (const aim of ['practical', 'fewest'] as const) {
        const { fault, refused, moves } = judge(question, aim);
        expect([question.number, question.term, aim, fault]).toEqual([
          question.number,
          question.term,
          aim,
          null,
        ]);
        if (refused) seen.refused++;
        if (moves > 0) seen.moved++;
      }
    }
    expect(seen.moved).toBeGreaterThan(COUNT / 2);
    expect(seen.refused).toBeGreaterThan(0);
  }, 600_000);
});
