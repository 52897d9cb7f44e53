// Ticks, metres and the tempo map.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { TICKS_PER_QUARTER, micros, noteTicks, ticks } from '../../src/base/units';
import { barAndBeat, barTicks, beatTicks, beatsInBar, isCompound, makeBars } from '../../src/music/metre';
import { tempoMap } from '../../src/music/tempo';

describe('metre', () => {
  it.each([
    [2, 4, 2, false],
    [3, 4, 3, false],
    [4, 4, 4, false],
    [5, 4, 5, false],
    [6, 8, 2, true],
    [9, 8, 3, true],
    [12, 8, 4, true],
    [3, 8, 3, false],
  ])('%i/%i has %i felt beats', (beats, unit, felt, compound) => {
    const metre = { beats, unit };
    expect(isCompound(metre)).toBe(compound);
    expect(beatsInBar(metre)).toBe(felt);
    expect(beatTicks(metre) * felt).toBe(barTicks(metre));
  });
  it('counts bars from 1 and beats from 1, in the written beats', () => {
    const bars = makeBars({ beats: 6, unit: 8 }, 3);
    expect(barAndBeat(bars, ticks(0))).toEqual({ bar: '1', beat: 1 });
    expect(barAndBeat(bars, ticks(barTicks({ beats: 6, unit: 8 }) + noteTicks(3, 8)))).toEqual({
      bar: '2',
      beat: 4,
    });
  });
});

describe('tempo map', () => {
  it('reads a part without a tempo at 90 quarters a minute', () => {
    expect(tempoMap([]).microsAt(ticks(90 * TICKS_PER_QUARTER))).toBe(60_000_000);
  });
  it('follows changes', () => {
    const map = tempoMap([
      { onset: ticks(0), milliBpm: 60_000 },
      { onset: ticks(4 * TICKS_PER_QUARTER), milliBpm: 120_000 },
    ]);
    expect(map.secondsAt(ticks(4 * TICKS_PER_QUARTER))).toBe(4);
    expect(map.secondsAt(ticks(6 * TICKS_PER_QUARTER))).toBe(5);
  });
  it('never runs backwards, and ticksAt is its inverse to within a microsecond', () => {
    const change = fc.record({
      gap: fc.integer({ min: 1, max: 50_000 }),
      milliBpm: fc.integer({ min: 30_000, max: 240_000 }),
    });
    fc.assert(
      fc.property(fc.array(change, { maxLength: 5 }), fc.nat(200_000), fc.nat(5_000), (gaps, at, more) => {
        let onset = 0;
        const map = tempoMap(gaps.map((g) => ({ onset: ticks((onset += g.gap)), milliBpm: g.milliBpm })));
        const time = map.microsAt(ticks(at));
        expect(map.microsAt(ticks(at + more))).toBeGreaterThanOrEqual(time);
        expect(map.microsAt(map.ticksAt(micros(time)))).toBeLessThanOrEqual(time);
        expect(Math.abs(map.ticksAt(micros(time)) - at)).toBeLessThanOrEqual(1);
      }),
    );
  });
});
