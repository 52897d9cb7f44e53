// Fingers: exact against brute force, and as harpists finger the commonest shapes.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { finger, fingeringCost } from '../../src/figures/fingering';
import type { PlannedPassage } from '../../src/harp/planned';
import type { Finger } from '../../src/music/passage';
import { line, planned } from '../playability/build';

const fingersOf = (p: PlannedPassage): string =>
  finger(p)
    .passage.plucks.map((x) => x.finger ?? '-')
    .join('');
const run = (names: string, per = 0.2, hand: 'R' | 'L' = 'R'): string =>
  fingersOf(planned(line(names, per, hand)));

describe('chords', () => {
  it('are fingered from the thumb on top, in both hands (Freund & Cutler)', () => {
    expect(fingersOf(planned([{ at: 0, names: 'C4 E4 G4 C5' }]))).toBe('4321');
    expect(fingersOf(planned([{ at: 0, names: 'C3 E3 G3 C4', hand: 'L' }]))).toBe('4321');
    expect(fingersOf(planned([{ at: 0, names: 'C4 E4 G4' }]))).toBe('321');
    expect(fingersOf(planned([{ at: 0, names: 'C4 G4 C5' }]))).toBe('421');
  });
  it('take octaves with thumb and fourth, thirds with thumb and second', () => {
    expect(fingersOf(planned([{ at: 0, names: 'C4 C5' }]))).toBe('41');
    expect(fingersOf(planned([{ at: 0, names: 'C4 E4' }]))).toBe('21');
  });
  it('keep their shape from chord to chord', () => {
    const bells = planned(line('C4+C5 G4+G5 E4+E5 A3+A4', 1));
    expect(fingersOf(bells)).toBe('41414141');
  });
  it('go by the strings of the plan', () => {
    // B♯3 and C♭5 sound a major seventh apart, but their strings lie a ninth apart.
    expect(fingersOf(planned([{ at: 0, names: 'B#3 Cb5' }]))).toBe('41');
  });
});

describe('lines', () => {
  it('rise from the fourth finger to the thumb and fall back', () => {
    expect(run('C4 E4 G4 C5')).toBe('4321');
    expect(run('C5 G4 E4 C4')).toBe('1234');
    expect(run('C4 E4 G4 C5 G4 E4 C4')).toBe('4321234');
  });
  it('place a scale of eight in two fours, the thumb as hinge', () => {
    expect(run('C4 D4 E4 F4 G4 A4 B4 C5')).toBe('43214321');
    expect(run('C5 B4 A4 G4 F4 E4 D4 C4')).toBe('12341234');
  });
  it('do not use one finger twice running on different strings when it is quick', () => {
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 7 }), { minLength: 2, maxLength: 24 }), (steps) => {
        const names = steps.map((s) => ['C4', 'D4', 'E4', 'F4', 'G4', 'A4', 'B4', 'C5'][s]).join(' ');
        const got = run(names, 0.15);
        for (let i = 1; i < steps.length; i++)
          if (steps[i] !== steps[i - 1]) expect(got[i]).not.toBe(got[i - 1]);
      }),
      { numRuns: 60, seed: 7 },
    );
  });
  it('keep each hand to itself', () => {
    const both = planned([...line('C3 E3 G3 C4', 0.1, 'L'), ...line('E4 G4 C5 E5', 0.1, 'R', 0.4)]);
    expect(fingersOf(both)).toBe('43214321');
  });
});

describe('contract', () => {
  it('keeps fingers that are given and finds the rest', () => {
    const p = planned([
      { at: 0, names: 'C4', finger: 2 },
      { at: 0.2, names: 'D4' },
    ]);
    expect(fingersOf(p)).toBe('21');
    const wrong = planned([{ at: 0, names: 'C4 E4 G4 C5', finger: 1 }]);
    expect(fingersOf(wrong)).toBe('4321');
  });
  it('leaves plucks without a hand, and everything else, alone', () => {
    const p = planned(line('C4 D4', 1, null));
    expect(finger(p)).toEqual(p);
  });
  it('gives a doubled string one finger and a fifth string the fourth', () => {
    expect(fingersOf(planned([{ at: 0, names: 'C4 C4 G4' }]))).toMatch(/^(\d)\1\d$/);
    expect(fingersOf(planned([{ at: 0, names: 'C4 D4 E4 G4 C5' }]))).toBe('44321');
  });
});

/** Notes of the right hand with fingers given, `per` quarters apart (a quarter is a second). */
const given = (text: string, per: number): number =>
  fingeringCost(
    planned(
      text.split(' ').map((word, i) => {
        const [names = '', finger = ''] = word.split('-');
        return { at: i * per, names, finger: Number(finger) as Finger };
      }),
    ),
  );

describe('points counted by hand', () => {
  // Quick steps (0.2 s) weigh four times, slow ones (0.7 s) once; the third and fourth finger are a point each.
  it('of a finger under the thumb: five rising notes are three and two', () => {
    // 4 3 2 1 and 2: two weak fingers, a connected crossing of 3 in haste.
    expect(given('C4-4 D4-3 E4-2 F4-1 G4-2', 0.2)).toBe(2 + 4 * 3);
    // 3 2 1 and 2 1: one weak finger less.
    expect(given('C4-3 D4-2 E4-1 F4-2 G4-1', 0.2)).toBe(1 + 4 * 3);
    // 2 1 and 3 2 1: a group of two is short.
    expect(given('C4-2 D4-1 E4-3 F4-2 G4-1', 0.2)).toBe(1 + 4 * (3 + 2));
    expect(run('C4 D4 E4 F4 G4')).toBe('32121');
  });
  it('of the thumb over: five falling notes likewise', () => {
    expect(given('G4-1 F4-2 E4-3 D4-1 C4-2', 0.2)).toBe(1 + 4 * 3);
    expect(given('G4-1 F4-2 E4-3 D4-4 C4-1', 0.2)).toBe(2 + 4 * 3);
    expect(run('G4 F4 E4 D4 C4')).toBe('12312');
  });
  it('of a crossing without the thumb, and far', () => {
    // Second to third upwards: a tangle, after a group of one.
    expect(given('C4-2 D4-3', 0.2)).toBe(1 + 4 * (8 + 2));
    // Thumb, then the second finger five strings up: two beyond a fourth.
    expect(given('C4-1 A4-2', 0.2)).toBe(4 * (3 + 2 + 2));
  });
  it('of the time to place: one finger on two strings', () => {
    expect(given('C4-2 D4-2', 0.2)).toBe(120);
    expect(given('C4-2 D4-2', 0.5)).toBe(2 * 6);
    expect(given('C4-2 D4-2', 0.7)).toBe(6);
    // On one string again it is nearly free, another finger in its place the more so.
    expect(given('C4-2 C4-2', 0.2)).toBe(4);
    expect(given('C4-2 C4-1', 0.2)).toBe(1);
  });
  it('of a stretch: thumb and second a sixth apart, and beyond', () => {
    // Four strings are easy, each further one a point, in haste four.
    expect(given('C4-2 G4-1', 0.2)).toBe(0);
    expect(given('C4-2 A4-1', 0.2)).toBe(4);
    expect(given('C4-2 A4-1', 0.7)).toBe(1);
  });
  it('of a leap beyond the hand: a new place', () => {
    expect(given('C4-1 C6-1', 0.7)).toBe(2);
    expect(given('C4-1 C6-1', 0.2)).toBe(8);
  });
});

describe('two hands', () => {
  it('may lie in one another, each with groups of its own', () => {
    const both = planned([...line('C4 E4 G4', 0.2, 'L'), ...line('D4 F4 A4', 0.2, 'R', 0.1)]);
    // The left hand's three notes, then the right's.
    expect(fingersOf(both)).toBe('321321');
  });
});

const NAMES = 'CDEFGAB';
const name = (s: number): string => `${NAMES[s % 7]}${Math.floor(s / 7) + 1}`;

/** Least cost over all fingerings with the thumb side on the higher strings. */
function bruteForce(p: PlannedPassage): number {
  const byOnset = new Map<number, number[]>();
  p.passage.plucks.forEach((x, i) => byOnset.set(x.onset, [...(byOnset.get(x.onset) ?? []), i]));
  const onsets = [...byOnset.values()];
  let best = Infinity;
  const given: Finger[] = [];
  const price = (): number =>
    fingeringCost({
      ...p,
      passage: {
        ...p.passage,
        plucks: p.passage.plucks.map((x, i) => ({ ...x, finger: given[i] as Finger })),
      },
    });
  const choose = (k: number): void => {
    const here = onsets[k];
    if (here === undefined) {
      best = Math.min(best, price());
      return;
    }
    const rest = (i: number, most: number): void => {
      const at = here[i];
      if (at === undefined) return choose(k + 1);
      for (let f = 1; f <= most; f++) {
        given[at] = f as Finger;
        rest(i + 1, f - 1);
      }
    };
    rest(0, 4);
  };
  choose(0);
  return best;
}

describe('exactness', () => {
  const single = fc.integer({ min: 14, max: 34 }).map((s) => [s]);
  const chord = fc.uniqueArray(fc.integer({ min: 18, max: 30 }), { minLength: 2, maxLength: 4 });
  const near = fc.integer({ min: 20, max: 27 }).map((s) => [s]);
  const part = fc.array(
    fc.record({
      strings: fc.oneof(
        { weight: 4, arbitrary: near },
        { weight: 2, arbitrary: single },
        { weight: 1, arbitrary: chord },
      ),
      gap: fc.integer({ min: 1, max: 7 }),
    }),
    { minLength: 1, maxLength: 5 },
  );
  it('costs what the best of all fingerings costs', () => {
    fc.assert(
      fc.property(part, (notes) => {
        let at = 0;
        const p = planned(
          notes.map(({ strings, gap }) => {
            const note = {
              at,
              names: [...strings]
                .sort((a, b) => a - b)
                .map(name)
                .join(' '),
            };
            at += gap / 8;
            return note;
          }),
        );
        expect(fingeringCost(finger(p))).toBe(bruteForce(p));
      }),
      { numRuns: 80, seed: 7 },
    );
  });
});
