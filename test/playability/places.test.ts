// Bars are named as the score prints them; the upbeat and bars without a number in words.
import { describe, expect, it } from 'vitest';
import { ticks } from '../../src/base/units';
import { type Bar, makeBars } from '../../src/music/metre';
import { barList, placeName } from '../../src/playability/places';
import { sentence } from '../../src/playability/sentences';
import { shownStep } from '../../src/proposals/mend/sentences';
import type { Step } from '../../src/proposals/mend/types';
import { noteFacts } from '../../src/ui/note-facts';
import { planned } from './build';

const QUARTER = 3360;
/** Bars of 4/4 with the given printed numbers; the first one quarter long. */
function numbered(numbers: readonly string[], passes: readonly number[] = []): Bar[] {
  return makeBars({ beats: 4, unit: 4 }, numbers.length).map((bar, i) => ({
    ...bar,
    number: numbers[i] as string,
    start: ticks(i === 0 ? 0 : QUARTER + (i - 1) * 4 * QUARTER),
    length: ticks(i === 0 ? QUARTER : 4 * QUARTER),
    ...(passes[i] === undefined ? {} : { written: i, pass: passes[i] }),
  }));
}

describe('places', () => {
  it('are named by printed numbers, not by counting', () => {
    const bars = numbered(['0', '1', '2', 'X1', '158', '159']);
    const at = (quarters: number): string => placeName(bars, ticks(quarters * QUARTER));
    expect(at(0)).toBe('the upbeat, beat 1');
    expect(at(1)).toBe('bar 1, beat 1');
    expect(at(10.5)).toBe('the bar without a number after bar 2, beat 2.5');
    expect(at(17)).toBe('bar 159, beat 1');
    const p = { code: 'x', severity: 'error', value: 1, limit: 2, source: 'common practice' } as const;
    const where = { kind: 'music', onset: ticks(0), ids: [] } as const;
    expect(sentence({ ...p, where }, bars)).toMatch(/^The upbeat, beat 1: /);
  });
  it('are named alike in the steps of a repair and in the facts of a note', () => {
    const p = planned([{ at: 0, names: 'C4' }]);
    const bars = numbered(['0', '1', 'X1', '2']);
    const passage = { ...p.passage, bars };
    const onset = ticks(QUARTER + 4 * QUARTER);
    const id = p.passage.plucks[0]?.id as string;
    const moved = { ...passage, plucks: passage.plucks.map((n) => ({ ...n, onset })) };
    const out: Step = { kind: 'thin', edits: [{ kind: 'leave-out', id }], loss: 0 };
    expect(shownStep(out, passage).message).toBe('The upbeat, beat 1: C4 is left out.');
    const after = 'The bar without a number after bar 1, beat 1';
    expect(shownStep(out, moved).message).toBe(`${after}: C4 is left out.`);
    const slow: Step = {
      ...{ kind: 'slow', loss: 0 },
      edits: [{ kind: 'tempo', from: ticks(0), to: ticks(QUARTER * 9), permille: 500 }],
    };
    expect(shownStep(slow, passage).message).toMatch(
      /^The upbeat, beat 1: the upbeat to the bar without a number after bar 1 are played at/,
    );
    expect(noteFacts({ ...p, passage: moved }).get(id)?.place).toBe(after);
  });
  it('say which time a repeated bar is played', () => {
    const bars = numbered(['1', '2', '1', '2'], [1, 1, 2, 2]);
    expect(placeName(bars, ticks(0))).toBe('bar 1, beat 1');
    expect(placeName(bars, ticks(5 * QUARTER))).toBe('bar 1, second time, beat 1');
  });
  it('are listed with stretches drawn together, and none lost', () => {
    expect(barList(['3'])).toBe('bar 3');
    expect(barList(['0'])).toBe('the upbeat');
    expect(barList(['0', '4'])).toBe('the upbeat and bar 4');
    expect(barList(['0', '4', '5', '6', '9'])).toBe('the upbeat and bars 4–6, 9');
    expect(barList(['1', '2', '4', '5'])).toBe('bars 1, 2, 4, 5');
    expect(barList(['1', '2', '3', '5', '7', '8', '9'], 2)).toBe('bars 1–3, 5 and 3 more');
  });
});
