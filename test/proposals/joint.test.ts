// The joint choice of textures and pedals against brute force, and a texture that dodges expensive moves.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { PEDALS, settingDistance, positionOf, type Setting, SETTING_COUNT } from '../../src/harp/setting';
import { ALL_FREE, DIGITS, partialDigit, partialOf, withDigit, type Partial7 } from '../../src/pedals/tables';
import { FORBIDDEN, type JointProblem, chooseJointly, moveCost } from '../../src/proposals/joint';

/** Settings that differ from all natural on the first three pedals alone: enough for needs on D, C and B. */
const SETTINGS: Setting[] = Array.from({ length: SETTING_COUNT }, (_, s) => s).filter((s) =>
  PEDALS.slice(3).every((l) => positionOf(s, l) === 0),
);

const stands = (setting: Setting, needs: Partial7): boolean =>
  [0, 1, 2].every((k) => partialDigit(needs, k) === 3 || partialDigit(needs, k) === DIGITS[7 * setting + k]);

const distance = (a: Setting, b: Setting, w: JointProblem['weights']): number => {
  const far = [0, 1, 2].filter(
    (k) => Math.abs((DIGITS[7 * a + k] as number) - (DIGITS[7 * b + k] as number)) === 2,
  );
  return w.move * settingDistance(a, b) + w.second * far.length;
};

/** Every combination of candidates; for each, every path over whole settings: moves may happen at any stop. */
function bruteForce(p: JointProblem): number | null {
  let best: number | null = null;
  const choose = (choice: number[]): void => {
    if (choice.length < p.bars.length) {
      p.bars[choice.length]?.forEach((_, c) => choose([...choice, c]));
      return;
    }
    let fixed = 0;
    for (let b = 0; b < choice.length; b++) {
      fixed += p.bars[b]?.[choice[b] as number]?.cost ?? 0;
      if (b > 0) {
        const join = p.pair(b - 1, choice[b - 1] as number, choice[b] as number);
        if (join >= FORBIDDEN) return;
        fixed += join;
      }
    }
    const stops = choice.flatMap((c, b) => [...(p.bars[b]?.[c]?.stops ?? [])]);
    let costs = SETTINGS.map((s) => (stands(s, p.start) ? 0 : Infinity));
    for (const options of stops) {
      costs = SETTINGS.map((s) => {
        const open = options.filter((o) => stands(s, o.needs)).map((o) => o.cost);
        if (open.length === 0) return Infinity;
        const into = Math.min(...SETTINGS.map((t, i) => (costs[i] as number) + distance(t, s, p.weights)));
        return into + Math.min(...open);
      });
    }
    const total =
      fixed +
      Math.min(
        ...SETTINGS.map(
          (s, i) =>
            Math.min(...SETTINGS.filter((e) => stands(e, p.end)).map((e) => distance(s, e, p.weights))) +
            (costs[i] as number),
        ),
      );
    if (total < Infinity && (best === null || total < best)) best = total;
  };
  choose([]);
  return best;
}

const digit = fc.constantFrom(0, 1, 2, 3, 3);
const needs = fc
  .tuple(digit, digit, digit)
  .map((d) => d.reduce<Partial7>((p, x, k) => withDigit(p, k, x), ALL_FREE));
const stop = fc.array(fc.record({ needs, cost: fc.nat(4) }), { minLength: 1, maxLength: 3 });
const candidate = fc.record({ cost: fc.nat(20), stops: fc.array(stop, { maxLength: 2 }) });

describe('the joint choice', () => {
  it('costs what brute force over all combinations and all paths of settings finds', () => {
    let free = 0;
    fc.assert(
      fc.property(
        fc.array(fc.array(candidate, { minLength: 3, maxLength: 4 }), { minLength: 2, maxLength: 4 }),
        fc.array(fc.oneof(fc.nat(15), fc.constant(FORBIDDEN)), { minLength: 16, maxLength: 16 }),
        fc.constantFrom(ALL_FREE, 0x3fff & ~0x3f, withDigit(ALL_FREE, 1, 1)),
        needs,
        fc.constantFrom({ move: 15, second: 1 }, { move: 3, second: 3 }, { move: 2, second: 0 }),
        (bars, joins, start, end, weights) => {
          // The brute force is short on settings: the pedals beyond B stand free.
          const p: JointProblem = {
            bars,
            pair: (b, from, to) => joins[(b * 5 + from * 4 + to) % 16] as number,
            start,
            end,
            weights,
          };
          const answer = chooseJointly(p);
          expect(answer?.cost ?? null).toBe(bruteForce(p));
          if (answer === null) free++;
          else expect(answer.choice).toHaveLength(bars.length);
        },
      ),
      { seed: 7, numRuns: 25 },
    );
    expect(free).toBeLessThan(20);
  });

  it('answers with a choice that costs what it says', () => {
    fc.assert(
      fc.property(
        fc.array(fc.array(candidate, { minLength: 1, maxLength: 5 }), { minLength: 1, maxLength: 6 }),
        (bars) => {
          const p: JointProblem = {
            bars,
            pair: (_, a, b) => Math.abs(a - b),
            start: ALL_FREE,
            end: ALL_FREE,
            weights: { move: 5, second: 1 },
          };
          const answer = chooseJointly(p);
          const alone =
            answer === null
              ? null
              : chooseJointly({
                  ...p,
                  bars: bars.map((list, b) => [list[answer.choice[b] as number]].flatMap((c) => c ?? [])),
                  pair: (b) => Math.abs((answer.choice[b] as number) - (answer.choice[b + 1] as number)),
                });
          expect(alone?.cost).toBe(answer?.cost);
        },
      ),
      { seed: 3, numRuns: 60 },
    );
  });

  it('takes a dearer texture where it dodges an expensive move, and not where it does not pay', () => {
    const sharp = partialOf('C', 1);
    const flat = partialOf('C', -1);
    const plain = (p: Partial7) => [[{ needs: p, cost: 0 }]];
    const problem = (extra: number): JointProblem => ({
      // The middle bar: the usual texture strikes C flat between two bars of C sharp; another does without.
      bars: [
        [{ cost: 0, stops: plain(sharp) }],
        [
          { cost: 0, stops: plain(flat) },
          { cost: extra, stops: plain(ALL_FREE) },
        ],
        [{ cost: 0, stops: plain(sharp) }],
      ],
      pair: () => 0,
      start: ALL_FREE,
      end: ALL_FREE,
      weights: { move: 15, second: 1 },
    });
    expect(chooseJointly(problem(31))).toEqual({ choice: [0, 1, 0], cost: 31 });
    expect(chooseJointly(problem(33))).toEqual({ choice: [0, 0, 0], cost: 32 });
  });

  it('has nothing to answer where a stop has no option', () => {
    const bars = [[{ cost: 0, stops: [[]] }]];
    const weights = { move: 1, second: 0 };
    expect(chooseJointly({ bars, pair: () => 0, start: ALL_FREE, end: ALL_FREE, weights })).toBeNull();
  });
});

describe('the cost of a move', () => {
  it('counts each pedal once, and a second position from flat to sharp', () => {
    const w = { move: 10, second: 3 };
    expect(moveCost(partialOf('F', -1), partialOf('F', 1), w)).toBe(13);
    expect(moveCost(partialOf('F', 0), partialOf('F', 1), w)).toBe(10);
    expect(moveCost(partialOf('F', 0), partialOf('G', 1), w)).toBe(0);
  });
});
