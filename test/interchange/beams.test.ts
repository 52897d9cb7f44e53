// Beams within a beat: levels, hands that place anew, and rests that are beamed over.
import { describe, expect, it } from 'vitest';
import { type BeamNote, beams } from '../../src/interchange/musicxml/write/beams';

const note = (type: string, group = 'b0', place?: string): BeamNote => ({
  ...{ type, group },
  ...(place === undefined ? {} : { place }),
});
const rest = (type: string): BeamNote => ({ type, group: null });

describe('beams', () => {
  it('join notes of one beat, level by level', () => {
    expect(beams([note('eighth'), note('16th'), note('16th')])).toEqual([
      ['begin'],
      ['continue', 'begin'],
      ['end', 'end'],
    ]);
    expect(beams([note('eighth', 'b0'), note('eighth', 'b1')])).toEqual([[], []]);
    expect(beams([note('quarter'), note('eighth')])).toEqual([[], []]);
  });
  it('break after the first level where the other hand takes over', () => {
    expect(beams([note('16th', 'b0', 'L'), note('16th', 'b0', 'L'), note('16th', 'b0', 'R')])).toEqual([
      ['begin', 'begin'],
      ['continue', 'end'],
      ['end', 'forward hook'],
    ]);
  });
  it('pass over a short rest inside a beat, which has none itself', () => {
    expect(beams([note('16th'), rest('16th'), note('16th'), note('16th')])).toEqual([
      ['begin', 'begin'],
      [],
      ['continue', 'continue'],
      ['end', 'end'],
    ]);
  });
  it('stop at longer rests, at two, at the edge of a beat and before another beat', () => {
    expect(beams([note('eighth'), rest('eighth'), note('eighth')])).toEqual([[], [], []]);
    expect(beams([note('16th'), rest('16th'), rest('16th'), note('16th')])).toEqual([[], [], [], []]);
    expect(beams([note('16th'), rest('16th')])).toEqual([[], []]);
    expect(beams([note('16th', 'b0'), rest('16th'), note('16th', 'b1')])).toEqual([[], [], []]);
  });
});
