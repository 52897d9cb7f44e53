// What the user says of proposals: more like, further from, these bars stay.
import { describe, expect, it } from 'vitest';
import { furtherFrom, keepBars, moreLike, playAgain } from '../../src/app/steering';
import { DEFAULT_WORK, decodeWork, encodeWork, requestOf } from '../../src/app/work';
import { propose } from '../../src/proposals/propose';

const { proposals } = propose({ ...requestOf(DEFAULT_WORK.input), count: 2 });
const [a, b] = proposals;
if (a === undefined || b === undefined) throw new Error('two proposals are needed');

describe('steering', () => {
  it('a like that becomes an unlike is no longer a like, and each stands once', () => {
    const liked = moreLike(moreLike(moreLike({}, a), b), a);
    expect(liked.like).toEqual([b.recipe, a.recipe]);
    const turned = furtherFrom(liked, a);
    expect(turned).toEqual({ like: [b.recipe], unlike: [a.recipe] });
    expect(furtherFrom(turned, b)).toEqual({ unlike: [a.recipe, b.recipe] });
  });

  it('bars kept anew replace those they overlap', () => {
    const first = keepBars(keepBars({}, a, 1, 2), b, 4, 4);
    expect(first.keep?.map((k) => [k.from, k.to])).toEqual([
      [1, 2],
      [4, 4],
    ]);
    const again = keepBars(first, b, 2, 3);
    expect(again.keep).toEqual([
      { from: 2, to: 3, recipe: b.recipe },
      { from: 4, to: 4, recipe: b.recipe },
    ]);
  });

  it('is kept with the work and goes into the request', () => {
    const steering = playAgain({ density: [1.5, 3], mostMoves: 4, pedals: { locked: { B: -1 } } }, a);
    const work = { ...DEFAULT_WORK, input: { ...DEFAULT_WORK.input, steering } };
    expect(decodeWork(encodeWork(work))).toEqual(work);
    expect(requestOf(work.input).steering).toEqual(steering);
  });
});
