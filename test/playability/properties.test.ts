// Properties: octaves do not change the hand's verdicts, slower is never worse, splitting never adds fingers.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { judge } from '../../src/playability/judge';
import { type Note, planned } from './build';

const LETTER = 'CDEFGAB';
const name = (s: number): string => `${LETTER[s % 7]}${Math.floor(s / 7) + 1}`;

const chord = (low: number, high: number) =>
  fc.uniqueArray(fc.integer({ min: low, max: high }), { minLength: 1, maxLength: 5 });
const part = (low: number, high: number) =>
  fc.array(
    fc.record({
      strings: chord(low, high),
      gap: fc.integer({ min: 1, max: 8 }),
      hand: fc.constantFrom('R', 'L'),
    }),
    { minLength: 1, maxLength: 12 },
  );
type Part = { strings: number[]; gap: number; hand: 'R' | 'L' }[];

function notes(p: Part, shift = 0): Note[] {
  let at = 0;
  return p.map(({ strings, gap, hand }) => {
    const note = {
      at,
      names: [...strings]
        .sort((a, b) => a - b)
        .map((s) => name(s + shift))
        .join(' '),
      hand,
    };
    at += gap / 8;
    return note;
  });
}

const HAND_RULES = ['four-fingers', 'span', 'spacing', 'hand-speed', 'leap', 'shared-string'];
const shape = (p: ReturnType<typeof planned>, only: readonly string[]): string[] =>
  judge(p)
    .filter((x) => only.includes(x.code))
    .map(
      (x) =>
        `${x.code} ${x.severity} ${x.value} ${x.limit} ${x.where.kind === 'music' ? x.where.ids.join() : ''}`,
    );

describe('properties', () => {
  it('an octave higher, the hand’s verdicts stay', () => {
    fc.assert(
      fc.property(part(14, 32) as fc.Arbitrary<Part>, (p) => {
        expect(shape(planned(notes(p, 7)), HAND_RULES)).toEqual(shape(planned(notes(p)), HAND_RULES));
      }),
      { numRuns: 150, seed: 7 },
    );
  });
  it('slower is never worse', () => {
    const errors = (p: Part, bpm: number): number =>
      judge(planned(notes(p), { bpm })).filter((x) => x.severity === 'error').length;
    const speaks = (p: Part, bpm: number): boolean =>
      judge(planned(notes(p), { bpm })).some((x) =>
        ['hand-speed', 'leap', 'repeat-rate', 'shared-string'].includes(x.code),
      );
    fc.assert(
      fc.property(part(14, 40) as fc.Arbitrary<Part>, fc.integer({ min: 40, max: 200 }), (p, bpm) => {
        if (errors(p, bpm) === 0) expect(errors(p, bpm >> 1)).toBe(0);
        if (!speaks(p, bpm)) expect(speaks(p, bpm >> 1)).toBe(false);
      }),
      { numRuns: 150, seed: 7 },
    );
  });
  it('without hands, five notes at once never give a hand too many', () => {
    fc.assert(
      fc.property(part(11, 40) as fc.Arbitrary<Part>, (p) => {
        const free = notes(p).map((n) => ({ ...n, hand: null }));
        expect(judge(planned(free)).filter((x) => x.code === 'four-fingers')).toEqual([]);
      }),
      { numRuns: 60, seed: 7 },
    );
  });
});
