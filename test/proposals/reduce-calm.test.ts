// What makes a reduction calm to read: pedals of both feet parted, crossed hands uncrossed.
import { describe, expect, it } from 'vitest';
import { defaultPlanOptions } from '../../src/pedals/plan';
import { validatePlan } from '../../src/pedals/validate';
import { clockOf } from '../../src/proposals/reduce-clock';
import { partPairs } from '../../src/proposals/reduce-moves';
import { reduce } from '../../src/proposals/reduce';
import { type Note, planned } from '../playability/build';

const Q = 3360;
describe('pedals of both feet at one instant', () => {
  const notes: Note[] = [
    { at: 0, hand: 'L', names: 'C3 F3' },
    { at: 4, hand: 'R', names: 'G4' },
    { at: 8, hand: 'L', names: 'C#3 F#3' },
  ];
  const plan = planned(notes, {
    moves: [
      { at: 8, to: 'C#' },
      { at: 8, to: 'F#' },
    ],
  });

  it('are parted where the first need leaves room, and the plan keeps every rule', () => {
    const parted = partPairs(plan, clockOf(plan.passage));
    expect(parted.moves.map((m) => m.letter).sort()).toEqual(['C', 'F']);
    expect(new Set(parted.moves.map((m) => m.onset)).size).toBe(2);
    expect(validatePlan(plan.passage, parted, defaultPlanOptions).faults).toEqual([]);
  });
  it('stay where there is none', () => {
    const tight = planned([notes[0] as Note, { at: 0.25, hand: 'L', names: 'C#3 F#3' }], {
      moves: [
        { at: 0.25, to: 'C#' },
        { at: 0.25, to: 'F#' },
      ],
    });
    expect(partPairs(tight, clockOf(tight.passage)).moves).toEqual(tight.moves);
  });
});

describe('hands of a reduction', () => {
  it('are uncrossed where they are printed across each other', () => {
    const { passage } = planned([
      { at: 0, hand: 'L', names: 'C3' },
      { at: 0, hand: 'R', names: 'E4' },
      { at: 1, hand: 'R', names: 'C3' },
      { at: 1, hand: 'L', names: 'C5 E5' },
      { at: 2, hand: 'L', names: 'C3' },
      { at: 2, hand: 'R', names: 'E4' },
    ]);
    const made = reduce({ passage });
    const second = made?.planned.passage.plucks.filter((p) => p.onset === Q) ?? [];
    expect(second.map((p) => [p.pitch.octave, p.hand])).toEqual([
      [3, 'L'],
      [5, 'R'],
      [5, 'R'],
    ]);
  });
});
