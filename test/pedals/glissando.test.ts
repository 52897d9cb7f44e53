// The census of glissando settings against published and worked figures.
import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { parseSetting } from '../../src/harp/setting-text';
import { PEDALS, SETTING_COUNT, positionOf, settingName } from '../../src/harp/setting';
import { settingCrosses, settingMask, sweptLetters } from '../../src/harp/sweep-settings';
import { LETTERS, letterIndex, pitchClass } from '../../src/music/pitch';
import {
  census,
  glissSettings,
  nearestSettings,
  pitchClassesOf,
  pitchSet,
  settingsWithin,
  spanSettings,
  travel,
} from '../../src/pedals/glissando';
import { keySetting } from '../../src/harp/setting';

const NAMES: Record<string, number> = { C: 0, D: 2, E: 4, F: 5, G: 7, A: 9, B: 11 };
const pcOf = (name: string): number =>
  ((NAMES[name[0] as string] as number) +
    (name.includes('#') ? 1 : 0) -
    (name.slice(1).includes('b') ? 1 : 0) +
    12) %
  12;
const transposed = (shape: readonly number[], root: number): number[] => shape.map((i) => (i + root) % 12);
const rootsOf = (shape: readonly number[]): number[] =>
  Array.from({ length: 12 }, (_, root) => root).filter(
    (root) => glissSettings(transposed(shape, root)).length > 0,
  );
const roots = (text: string): number[] =>
  text
    .split(' ')
    .map(pcOf)
    .sort((a, b) => a - b);

describe('census of the 2,187 settings (Gotham & Gunn, Music Theory Online 22.4; enumeration)', () => {
  const sets = census();
  const sizes = [...sets.keys()].map((bits) => pitchClassesOf(bits).length);
  it('sounds 977 sets: 25 of four notes, 178 of five, 415 of six, 359 of seven', () => {
    expect(sets.size).toBe(977);
    expect([3, 4, 5, 6, 7].map((n) => sizes.filter((x) => x === n).length)).toEqual([0, 25, 178, 415, 359]);
    expect([...sets.values()].reduce((a, b) => a + b)).toBe(SETTING_COUNT);
  });
  it('has these four-note chords on these roots only', () => {
    expect(rootsOf([0, 4, 7, 10])).toEqual(roots('Db E F# Ab B'));
    expect(rootsOf([0, 3, 7, 10])).toEqual(roots('C# D# F G# A#'));
    expect(rootsOf([0, 4, 7, 11])).toEqual(roots('Db E Gb B'));
    expect(rootsOf([0, 3, 6, 10])).toEqual(roots('C D F G Bb'));
    expect(rootsOf([0, 3, 6, 9])).toHaveLength(12);
    expect(rootsOf([0, 3, 7, 11])).toEqual(roots('Db'));
    expect(rootsOf([0, 4, 8, 10])).toEqual(roots('E'));
    expect(rootsOf([0, 4, 8, 11])).toEqual(roots('E'));
  });
  it('has the larger chords and scales on the roots that FACTS names', () => {
    expect(rootsOf([0, 2, 4, 7, 11])).toEqual(roots('Db E Gb A B'));
    expect(rootsOf([0, 2, 3, 7, 10])).toEqual(roots('C# Eb F Ab Bb'));
    expect(rootsOf([0, 3, 5, 6, 7, 10])).toHaveLength(11);
    const everywhere = [
      [0, 2, 4, 7, 9],
      [0, 2, 4, 7, 10],
      [0, 1, 4, 7, 10],
      [0, 3, 4, 7, 10],
      [0, 2, 5, 7, 10],
      [0, 2, 4, 6, 8, 10],
      [0, 2, 4, 5, 7, 9, 11],
      [0, 2, 3, 5, 7, 8, 11],
    ];
    for (const shape of everywhere) expect(rootsOf(shape)).toHaveLength(12);
    for (const shape of [
      [0, 5, 7, 10],
      [0, 4, 6, 10],
      [0, 4, 7],
    ])
      expect(rootsOf(shape)).toEqual([]);
  });
  it('can set every cluster of three but G–G♯–A (Canton & Overlach, Composing for Harp)', () => {
    const missing = Array.from({ length: 12 }, (_, pc) => pitchSet([pc, pc + 1, pc + 2])).filter((cluster) =>
      [...sets.keys()].every((set) => (set & cluster) !== cluster),
    );
    expect(missing.map(pitchClassesOf)).toEqual([[7, 8, 9]]);
  });
});

describe('the worked settings', () => {
  const file = new URL('../../../shared/data/gliss_settings.md', import.meta.url);
  it.skipIf(!existsSync(file))(
    'all sixty rows: the setting, its content and the number of exact ones',
    () => {
      const rows = readFileSync(file, 'utf8')
        .split('\n')
        .filter((line) => /^\|\d+\|/.test(line))
        .map((line) => line.split('|').slice(1, -1));
      expect(rows).toHaveLength(60);
      for (const [number, , , text, sounding, count] of rows as string[][]) {
        const parsed = parseSetting((text as string).replace('/', '|'));
        expect(parsed.ok).toBe(true);
        if (!parsed.ok) continue;
        const pcs = (sounding as string).split(' ').map((name) => pcOf(name.split('/')[0] as string));
        expect([number, pitchClassesOf(settingMask(parsed.value))]).toEqual([
          number,
          [...pcs].sort((a, b) => a - b),
        ]);
        const found = glissSettings(pcs);
        expect([number, found.length]).toEqual([number, Number(count)]);
        expect([number, found.some((g) => g.setting === parsed.value && !g.crosses)]).toEqual([number, true]);
        expect([number, found[0]?.crosses]).toEqual([number, false]);
      }
    },
  );
  it('C diminished seventh has the one setting of three fingers (Berlioz, Grand traité, p. 90)', () => {
    expect(glissSettings([0, 3, 6, 9]).map((g) => settingName(g.setting))).toEqual(['D♯ C B♯ | E♭ F♯ G♭ A']);
  });
  it('E7, C pentatonic and both whole-tone scales as the trade sets them (common practice)', () => {
    const names = (pcs: number[]): string[] => glissSettings(pcs).map((g) => settingName(g.setting));
    expect(names([4, 8, 11, 2])).toEqual(['D C♭ B | E F♭ G♯ A♭']);
    expect(names([0, 2, 4, 7, 9])).toEqual(['D C B♯ | E F♭ G A']);
    expect(names([0, 2, 4, 6, 8, 10])).toContain('D C B♭ | E F♭ G♭ A♭');
  });
});

describe('glissSettings', () => {
  it('finds what a plain search over seven loops finds, in its stated order', () => {
    for (const pcs of [
      [0, 2, 4, 6, 8, 10],
      [0, 4, 5, 7, 9, 11],
      [4, 5, 7, 9, 11, 0, 2],
      [1, 3, 6, 8, 10],
    ]) {
      const plain: number[] = [];
      for (let s = 0; s < SETTING_COUNT; s++) {
        const sounds = new Set(PEDALS.map((l) => pitchClass(l, positionOf(s, l))));
        if (sounds.size === pcs.length && pcs.every((pc) => sounds.has(pc))) plain.push(s);
      }
      for (const from of [0, 1093, 2186, 777]) {
        const found = glissSettings(pcs, from);
        expect(found.map((g) => g.setting).sort((a, b) => a - b)).toEqual(plain);
        const key = (g: (typeof found)[number]): number[] => [
          Number(g.crosses),
          g.moves,
          g.positions,
          g.setting,
        ];
        const sorted = [...found].sort((a, b) => {
          const [x, y] = [key(a), key(b)];
          const i = x.findIndex((v, k) => v !== y[k]);
          return i < 0 ? 0 : (x[i] as number) - (y[i] as number);
        });
        expect(found).toEqual(sorted);
        for (const g of found) expect(g.positions).toBe(travel(from, g.setting));
      }
    }
  });
  it('crosses exactly where a string sounds below its lower neighbour', () => {
    for (let s = 0; s < SETTING_COUNT; s++) {
      const height = (i: number): number => {
        const letter = LETTERS[i % 7] as (typeof LETTERS)[number];
        return 12 * Math.floor(i / 7) + [0, 2, 4, 5, 7, 9, 11][letterIndex(letter)]! + positionOf(s, letter);
      };
      const falls = Array.from({ length: 8 }, (_, i) => height(i + 1) < height(i)).some(Boolean);
      expect(settingCrosses(s)).toBe(falls);
    }
  });
});

describe('near matches and sweeps', () => {
  it('settingsWithin keeps to the allowed and has the required', () => {
    const found = settingsWithin([0, 4, 7, 9, 2, 11], [0, 4, 7]);
    expect(found.length).toBeGreaterThan(0);
    for (const g of found) {
      const pcs = pitchClassesOf(settingMask(g.setting));
      expect(pcs.every((pc) => [0, 2, 4, 7, 9, 11].includes(pc))).toBe(true);
      expect([0, 4, 7].every((pc) => pcs.includes(pc))).toBe(true);
      expect(g.exact).toBe(g.missing.length === 0);
    }
  });
  it('nearestSettings says what is wrong in each', () => {
    const [first] = nearestSettings([0, 4, 7], 3);
    expect(first?.exact).toBe(false);
    // No position of the D or A pedal sounds in C major's triad.
    expect(first?.foreign).toHaveLength(2);
    expect(first?.missing).toEqual([]);
  });
  it('spanSettings binds only the letters swept', () => {
    expect([...sweptLetters(14, 17)]).toEqual(['C', 'D', 'E', 'F']);
    const found = spanSettings(14, 17, [0, 2, 4, 6], [0, 2, 4, 6], keySetting(-3));
    expect(found.length).toBeGreaterThan(0);
    for (const g of found) {
      for (const letter of ['G', 'A', 'B'] as const) {
        expect(positionOf(g.setting, letter)).toBe(positionOf(keySetting(-3), letter));
      }
    }
    const whole = spanSettings(14, 40, [4, 8, 11, 2], [4, 8, 11, 2]);
    expect(whole.map((g) => g.setting)).toEqual(glissSettings([4, 8, 11, 2]).map((g) => g.setting));
  });
});
