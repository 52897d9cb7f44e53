// Settings: packing, names, reading what people type.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  NATURAL_SETTING,
  PEDALS,
  type Position,
  SETTING_COUNT,
  footOf,
  keySetting,
  packSetting,
  positionOf,
  settingDistance,
  settingName,
  unpackSetting,
  withPosition,
} from '../../src/harp/setting';
import { parseSetting } from '../../src/harp/setting-text';

const setting = fc.nat(SETTING_COUNT - 1);

describe('setting', () => {
  it('packs and unpacks every one of the 2,187', () => {
    const seen = new Set<number>();
    for (let s = 0; s < SETTING_COUNT; s++) seen.add(packSetting(unpackSetting(s)));
    expect(seen.size).toBe(3 ** 7);
  });
  it('has all naturals in the middle and all flats at 0 (all up is C flat major)', () => {
    expect(settingName(NATURAL_SETTING)).toBe('D C B | E F G A');
    expect(settingName(0)).toBe('D♭ C♭ B♭ | E♭ F♭ G♭ A♭');
  });
  it('gives the left foot D C B and the right foot E F G A (Wikipedia, "Pedal harp")', () => {
    expect(PEDALS.filter((l) => footOf(l) === 'left')).toEqual(['D', 'C', 'B']);
    expect(PEDALS.filter((l) => footOf(l) === 'right')).toEqual(['E', 'F', 'G', 'A']);
  });
  it('moves one pedal at a time', () => {
    fc.assert(
      fc.property(
        setting,
        fc.constantFrom(...PEDALS),
        fc.constantFrom<Position>(-1, 0, 1),
        (s, letter, to) => {
          const moved = withPosition(s, letter, to);
          expect(positionOf(moved, letter)).toBe(to);
          expect(settingDistance(s, moved)).toBe(positionOf(s, letter) === to ? 0 : 1);
        },
      ),
    );
  });
});

describe('keySetting', () => {
  it('is C flat major with all pedals up, C sharp major with all down, and adds one pedal a fifth', () => {
    expect(settingName(keySetting(-7))).toBe('D♭ C♭ B♭ | E♭ F♭ G♭ A♭');
    expect(settingName(keySetting(-3))).toBe('D C B♭ | E♭ F G A♭');
    expect(keySetting(0)).toBe(NATURAL_SETTING);
    expect(settingName(keySetting(2))).toBe('D C♯ B | E F♯ G A');
    for (let f = -7; f < 7; f++) expect(settingDistance(keySetting(f), keySetting(f + 1))).toBe(1);
  });
});

describe('parseSetting', () => {
  it('reads back every name', () => {
    fc.assert(
      fc.property(setting, (s) => {
        expect(parseSetting(settingName(s))).toEqual({ ok: true, value: s });
        expect(
          parseSetting(settingName(s).replaceAll('♭', 'b').replaceAll('♯', '#').replace('|', '')),
        ).toEqual({ ok: true, value: s });
      }),
    );
  });
  it.each([
    ['D C B E F G', 'A pedal'],
    ['D C B E F G A A', 'A pedal twice'],
    ['D C B E F G H', '“H”'],
    ['Dx C B E F G A', '“Dx”'],
    ['', 'D, C, B, E, F, G, A pedals'],
  ])('says what is wrong with %j', (text, says) => {
    const result = parseSetting(text);
    expect(result.ok).toBe(false);
    if (!result.ok) expect(result.problems[0]?.value).toContain(says);
  });
});
