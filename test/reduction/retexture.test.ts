// A stretch of bars is played anew from its chords; everything outside it stays as it was.
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random';
import { FAMILIES } from '../../src/figures/families';
import type { FigureFamily } from '../../src/figures/types';
import { parseProgression } from '../../src/harmony/progression';
import { CONCERT_HARP } from '../../src/harp/instrument';
import { recognizeHarmony } from '../../src/reduction/harmony';
import { retexture } from '../../src/reduction/retexture';

const family = (id: string): FigureFamily => {
  const found = FAMILIES.find((f) => f.id === id);
  if (found === undefined) throw new Error(`no family ${id}`);
  return found;
};

describe('retexture', () => {
  const progression = parseProgression('C | Am | F | G7 | C', { metre: { beats: 4, unit: 4 }, key: null });
  const draft = family('rolled-chords').draft({
    progression,
    title: '',
    milliBpm: 84_000,
    instrument: CONCERT_HARP,
    random: seededRandom(1),
  });
  if (!draft.ok) throw new Error('the figure was refused');
  const { passage } = draft.value;
  const chords = recognizeHarmony(passage);
  const request = { passage, chords, family: family('wave'), instrument: CONCERT_HARP };

  it('plays bars 2 to 4 as a wave on the same chords', () => {
    const made = retexture({ ...request, from: 1, to: 4, random: seededRandom(2) });
    expect(made.ok).toBe(true);
    if (!made.ok) return;
    const [start, end] = [passage.bars[1]?.start ?? 0, passage.bars[4]?.start ?? 0];
    const outside = (x: { onset: number }): boolean => x.onset < start || x.onset >= end;
    expect(made.value.plucks.filter(outside)).toEqual(passage.plucks.filter(outside));
    const inside = made.value.plucks.filter((p) => !outside(p));
    expect(inside.length).toBeGreaterThan(12);
    expect(inside.every((p) => p.id.startsWith('r1.'))).toBe(true);
    expect(new Set(inside.map((p) => p.onset)).size).toBeGreaterThan(9); // a wave, no longer block chords
    expect(recognizeHarmony(made.value).map((c) => c.text.replace(/\/.*/, ''))).toEqual([
      'C',
      'Am',
      'F',
      'G7',
      'C',
    ]);
    expect(new Set(made.value.plucks.map((p) => p.id)).size).toBe(made.value.plucks.length);
  });

  it('refuses bars that are not there', () => {
    const made = retexture({ ...request, from: 9, to: 12, random: seededRandom(2) });
    expect(made.ok).toBe(false);
  });
});
