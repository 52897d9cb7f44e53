// What the user says of proposals: more like, further from, these bars stay.
import { describe, expect, it } from 'vitest';
import { furtherFrom, keepBars, liftedInput, moreLike, playAgain, releaseBars } from '../../src/app/steering';
import { DEFAULT_WORK, type Input, decodeWork, encodeWork, requestOf } from '../../src/app/work';
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
    expect(again.keep).toMatchObject([
      { from: 2, to: 3, recipe: b.recipe },
      { from: 4, to: 4, recipe: b.recipe },
    ]);
  });

  it('kept bars remember their chords; those that are not kept any more are let go, the others stay', () => {
    const kept = keepBars({}, a, 1, 4);
    expect(kept.keep?.[0]?.chords).toHaveLength(4);
    const left = releaseBars(kept, [{ bar: 2, why: 'chords' }]);
    expect(left.keep?.map((k) => [k.from, k.to, k.chords?.length])).toEqual([
      [1, 1, 1],
      [3, 4, 2],
    ]);
    expect(left.keep?.[1]?.chords).toEqual(kept.keep?.[0]?.chords?.slice(2));
    const gone = releaseBars(
      left,
      [1, 3, 4].map((bar) => ({ bar, why: 'past-end' })),
    );
    expect(gone).toEqual({});
  });

  it('lifts one limit and leaves the others', () => {
    const input: Input = {
      ...DEFAULT_WORK.input,
      start: 1093,
      families: ['wave'],
      steering: { density: [5, 24], pedals: { keepSpelling: true } },
    };
    expect(liftedInput(input, 'density').steering).toEqual({ pedals: { keepSpelling: true } });
    expect(liftedInput(input, 'keepSpelling').steering).toEqual({ density: [5, 24] });
    expect(liftedInput(input, 'start')).toEqual({ start: null, steering: input.steering });
    expect(liftedInput(input, 'families').families).toEqual([]);
  });

  it('is kept with the work and goes into the request', () => {
    const steering = playAgain({ density: [1.5, 3], mostMoves: 4, pedals: { locked: { B: -1 } } }, a);
    const work = { ...DEFAULT_WORK, input: { ...DEFAULT_WORK.input, steering } };
    expect(decodeWork(encodeWork(work))).toEqual(work);
    expect(requestOf(work.input).steering).toEqual(steering);
  });
});
