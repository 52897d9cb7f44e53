// Many sharps in flats, key by key, and what is said where a piece does not suit the harp.
import { describe, expect, it } from 'vitest';
import { ticks } from '../../src/base/units';
import { CONCERT_HARP } from '../../src/harp/instrument';
import { makeBars } from '../../src/music/metre';
import type { Passage, Pluck } from '../../src/music/passage';
import { type Pitch, harpSpellings, midiOf, pitchName } from '../../src/music/pitch';
import { hasManySharps, inFlatKeys, isBetterInFlats } from '../../src/proposals/reduce-keys';
import { reduce } from '../../src/proposals/reduce';

const BAR = 13440;
function notes(list: readonly (readonly [at: number, pitch: Pitch])[], length: number): Pluck[] {
  return list.map(([at, pitch], i) => ({
    ...{
      id: `n${i}`,
      onset: ticks(at),
      duration: ticks(length),
      pitch,
      hand: midiOf(pitch) < 60 ? 'L' : 'R',
    },
    ...{ finger: null, technique: 'ordinary', dynamic: 'mf' },
  }));
}
function part(bars: number, plucks: readonly Pluck[], more: Partial<Passage>): Passage {
  return {
    ...{ title: '', bars: makeBars({ beats: 4, unit: 4 }, bars), plucks },
    ...{ tempo: [{ onset: ticks(0), milliBpm: 90_000 }], fifths: 0 },
    ...{ rolls: [], sweeps: [], trembles: [], chords: [], damps: [] },
    ...more,
  };
}
const p = (letter: Pitch['letter'], alter: Pitch['alter'], octave: number): Pitch => ({
  letter,
  alter,
  octave,
});

describe('many sharps (Berlioz p. 86; Prout p. 74)', () => {
  // B major, then D major, then F sharp major.
  const passage = part(
    3,
    notes(
      [
        [0, p('B', 0, 4)],
        [0, p('D', 1, 5)],
        [BAR, p('D', 0, 5)],
        [BAR, p('F', 1, 5)],
        [2 * BAR, p('F', 1, 4)],
        [2 * BAR, p('A', 1, 4)],
      ],
      BAR,
    ),
    {
      fifths: 5,
      keys: [
        { onset: ticks(BAR), fifths: 2 },
        { onset: ticks(2 * BAR), fifths: 6 },
      ],
    },
  );

  it('become flats in every stretch that has them, and only there', () => {
    expect(hasManySharps(passage)).toBe(true);
    const flat = inFlatKeys(passage);
    expect([flat.fifths, ...(flat.keys ?? []).map((k) => k.fifths)]).toEqual([-7, 2, -6]);
    expect(flat.plucks.map((x) => pitchName(x.pitch))).toEqual(['C♭5', 'E♭5', 'D5', 'F♯5', 'G♭4', 'B♭4']);
    flat.plucks.forEach((x, i) => {
      expect(midiOf(x.pitch)).toBe(midiOf((passage.plucks[i] as Pluck).pitch));
    });
    expect(hasManySharps({ ...passage, fifths: 4, keys: [] })).toBe(false);
  });

  it('stay where the piece leaves its key for good: seven flats would only be cancelled', () => {
    const scale = (at: number, list: readonly Pitch[]) => list.map((x, i) => [at + i * 1680, x] as const);
    const home = scale(0, [p('B', 0, 4), p('D', 1, 5), p('F', 1, 5), p('B', 0, 5)]);
    const away = [1, 2, 3, 4].flatMap((bar) =>
      scale(bar * BAR, [p('A', 0, 4), p('C', 1, 5), p('E', 0, 5), p('G', 1, 5), p('A', 0, 5), p('D', 0, 5)]),
    );
    const leaves = part(5, notes([...home, ...away], 1680), { fifths: 5 });
    expect(hasManySharps(leaves)).toBe(true);
    expect(isBetterInFlats(leaves, CONCERT_HARP)).toBe(false);
    expect(reduce({ passage: leaves })?.planned.passage.fifths).toBe(5);
    const stays = part(1, notes(home, 1680), { fifths: 5 });
    expect(isBetterInFlats(stays, CONCERT_HARP)).toBe(true);
  });

  it('are told as a change, which can be refused', () => {
    const made = reduce({ passage });
    expect(made?.changes.map((c) => c.code)).toContain('many-sharps');
    expect(made?.planned.passage.fifths).toBe(-7);
    const kept = reduce({ passage, refused: ['many-sharps@0.0'] });
    expect(kept?.planned.passage.fifths).toBe(5);
  });
});

describe('a piece that does not suit the harp', () => {
  const line = (bars: number, step: number, keys: readonly number[]): Passage => {
    const count = Math.floor((bars * BAR) / step);
    const list = Array.from({ length: count }, (_, i) => {
      const [pitch] = harpSpellings(keys[i % keys.length] as number);
      return [i * step, pitch as Pitch] as const;
    });
    return part(bars, notes(list, step), { tempo: [{ onset: ticks(0), milliBpm: 160_000 }] });
  };

  it('is told in one line where the feet never rest', () => {
    const chromatic = line(10, 840, [60, 61, 62, 63, 64, 65, 66, 67, 68, 69, 70, 71]);
    const made = reduce({ passage: chromatic });
    expect(made?.unsuited?.message).toMatch(/suits the harp: even reduced, \d+/);
    expect(made?.unsuited?.message).not.toContain('\n');
  });

  it('is not told of a calm one', () => {
    expect(reduce({ passage: line(10, 3360, [60, 64, 67, 72]) })?.unsuited).toBeNull();
  });
});
