// The harmony of every stretch: from symbols, and recognised from the notes.
import { describe, expect, it } from 'vitest';
import { harmoniesOf, harmonyAt } from '../../src/proposals/harmony-here';
import { propose } from '../../src/proposals/propose';

import { chords, mark } from './_quarters';

describe('harmonies', () => {
  it('reads the symbols where there are some, and leaves N.C. out', () => {
    const marked = {
      ...chords([[60], null, null, null, [62], null, null, null]),
      chords: [mark(0, 'Dm7/C'), mark(1, 'N.C.')],
    };
    const found = harmoniesOf(marked);
    expect(found.map((h) => [h.name, h.from, h.to, h.written])).toEqual([['Dm7/C', 0, 4 * 3360, true]]);
    expect(found[0]?.tones.map((t) => t.pc)).toEqual([2, 5, 9, 0]);
  });

  it('recognises chords from their notes, broken and with a passing note', () => {
    const played = chords([
      ...[[48, 64], [67], [72], [76]],
      ...[[45, 64], [69], [72], [76]],
      ...[[50, 65], [69], [72], [74]],
      ...[[43, 65], [71], [72], [74]],
      ...[[48, 64, 67], null, [72], [76]],
    ]);
    expect(harmoniesOf(played).map((h) => [h.name, h.from / (4 * 3360)])).toEqual([
      ['C', 0],
      ['Am', 1],
      ['Dm7', 2],
      ['G7', 3],
      ['C', 4],
    ]);
  });

  it('names most chords of proposals as they were asked for, without looking at their symbols', () => {
    const text = 'C | Am | Dm7 | G7 | C | F | Dm7 G7 | C';
    const { proposals } = propose({
      text,
      metre: { beats: 4, unit: 4 },
      milliBpm: 90_000,
      seed: '3',
      count: 6,
      families: [],
      start: null,
      aim: 'practical',
      key: null,
      title: '',
    });
    expect(proposals.length).toBe(6);
    let [right, all] = [0, 0];
    for (const { planned } of proposals) {
      const asked = harmoniesOf(planned.passage);
      const heard = harmoniesOf({ ...planned.passage, chords: [] });
      for (const h of asked) {
        if (!planned.passage.plucks.some((p) => p.onset >= h.from && p.onset < h.to)) continue;
        all++;
        const tones = new Set(harmonyAt(heard, h.from)?.tones.map((t) => t.pc));
        if (h.tones.filter((t) => tones.has(t.pc)).length >= 3) right++;
      }
    }
    expect(all).toBeGreaterThan(30);
    expect(right / all).toBeGreaterThan(0.8);
  });
});
