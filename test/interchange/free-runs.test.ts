// Free runs, such as thirteen in a beat, with notes missing: what is written reads back where it was.
import { describe, expect, it } from 'vitest';
import { TICKS_PER_QUARTER, ticks } from '../../src/base/units';
import { CONCERT_HARP } from '../../src/harp/instrument';
import { NATURAL_SETTING } from '../../src/harp/setting';
import { readMusicXml } from '../../src/interchange/musicxml-read';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { makeBars } from '../../src/music/metre';
import type { Pluck } from '../../src/music/passage';
import { harpSpellings } from '../../src/music/pitch';
import { SAME_INSTANT } from '../../src/reduction/measure';

/** A run of so many notes in a quarter, in ticks rounded note by note as readers do; some left out. */
function run(parts: number, gone: readonly number[]): Pluck[] {
  const length = Math.round(TICKS_PER_QUARTER / parts);
  return Array.from({ length: parts }, (_, i): Pluck[] => {
    const pitch = harpSpellings(60 + i)[0];
    if (pitch === undefined || gone.includes(i)) return [];
    const [onset, duration] = [ticks(i * length), ticks(length)];
    return [
      { id: `n${i}`, onset, duration, pitch, hand: 'R', finger: null, technique: 'ordinary', dynamic: 'mf' },
    ];
  }).flat();
}

describe('a free run with notes left out', () => {
  for (const [parts, gone] of [
    [11, [2, 5, 6]],
    [13, [4, 5, 7, 11]],
    [17, [1, 6, 7, 12]],
    [19, [3, 4, 5, 10, 16]],
  ] as const) {
    it(`of ${parts} in a beat keeps its places`, () => {
      const plucks = run(parts, gone);
      const passage = {
        ...{ title: '', bars: makeBars({ beats: 4, unit: 4 }, 1), tempo: [], fifths: 0, plucks },
        ...{ rolls: [], sweeps: [], trembles: [], chords: [], damps: [] },
      };
      const planned = { passage, instrument: CONCERT_HARP, start: NATURAL_SETTING, moves: [], tuning: {} };
      const back = readMusicXml(writeMusicXml(planned));
      if (!back.ok) throw new Error('what was written cannot be read');
      const found = back.value.passage.plucks;
      expect(found.length).toBe(plucks.length);
      found.forEach((p, i) => {
        expect(Math.abs(p.onset - (plucks[i]?.onset ?? 0))).toBeLessThanOrEqual(SAME_INSTANT);
      });
    });
  }
});

describe('a bar of triplets after one of an odd length', () => {
  it('is printed in its own values', () => {
    // Six notes of a quintuplet in a bar of five, as scores have them: the next bar begins off every plain grid.
    const [first, second] = makeBars({ beats: 2, unit: 8 }, 2);
    if (first === undefined || second === undefined) throw new Error('no bars');
    const bars = [
      { ...first, length: ticks(4032) },
      { ...second, start: ticks(4032) },
    ];
    const note = (id: string, onset: number, duration: number, key: number): Pluck => {
      const pitch = harpSpellings(key)[0];
      if (pitch === undefined) throw new Error('no pitch');
      return {
        ...{ id, onset: ticks(onset), duration: ticks(duration), pitch, hand: 'R', finger: null },
        ...{ technique: 'ordinary', dynamic: 'mf' },
      };
    };
    const plucks = [
      ...Array.from({ length: 6 }, (_, i) => note(`a${i}`, i * 672, 672, 60 + i)),
      ...Array.from({ length: 6 }, (_, i) => note(`b${i}`, 4032 + i * 560, 560, 60 + i)),
    ];
    const passage = {
      ...{ title: '', bars, tempo: [], fifths: 0, plucks },
      ...{ rolls: [], sweeps: [], trembles: [], chords: [], damps: [] },
    };
    const planned = { passage, instrument: CONCERT_HARP, start: NATURAL_SETTING, moves: [], tuning: {} };
    const xml = writeMusicXml(planned);
    const bar = xml.slice(xml.lastIndexOf('<measure'));
    expect(new Set(bar.match(/<type>\w+<\/type>/g))).toEqual(new Set(['<type>16th</type>']));
    const back = readMusicXml(xml);
    if (!back.ok) throw new Error('what was written cannot be read');
    expect(back.value.passage.plucks.map((p) => p.onset)).toEqual(plucks.map((p) => p.onset));
  });
});
