// A reduction is playable, says what it changed, keeps what was refused, and is the same every time.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ticks } from '../../src/base/units';
import { readMusicXml } from '../../src/interchange/musicxml-read';
import { writeMidi } from '../../src/interchange/midi-write';
import { readPart } from '../../src/interchange/read-part';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { makeBars } from '../../src/music/metre';
import type { Passage, Pluck } from '../../src/music/passage';
import { type Pitch, harpSpellings, midiOf } from '../../src/music/pitch';
import { checkPart } from '../../src/proposals/check';
import { reduce } from '../../src/proposals/reduce';
import { DIFFICULTIES } from '../../src/reduction/types';

type Struck = readonly [at: number, keys: readonly number[], hand: 'R' | 'L', length: number];

function part(bars: number, strokes: readonly Struck[], milliBpm = 90_000): Passage {
  const plucks = strokes.flatMap(([at, keys, hand, length], i) =>
    keys.map((key, k): Pluck => ({
      id: `n${i}-${k}`,
      onset: ticks(at),
      duration: ticks(length),
      pitch: harpSpellings(key)[0] as Pitch,
      hand,
      finger: null,
      technique: 'ordinary',
      dynamic: 'mf',
    })),
  );
  plucks.sort((a, b) => a.onset - b.onset || midiOf(a.pitch) - midiOf(b.pitch));
  const tempo = [{ onset: ticks(0), milliBpm }];
  const none = { rolls: [], sweeps: [], trembles: [], chords: [], damps: [] };
  return { title: 'Study', bars: makeBars({ beats: 4, unit: 4 }, bars), tempo, fifths: 0, plucks, ...none };
}

const THICK = part(2, [
  [0, [36, 40, 43, 48], 'L', 3360],
  [0, [60, 64, 67, 70, 72], 'R', 3360],
  [6720, [29, 33, 36], 'L', 3360],
  [6720, [65, 69, 72, 77], 'R', 3360],
  [13440, [31, 55], 'L', 6720],
  [13440, [59, 62, 65, 67], 'R', 6720],
]);
const arbitraryPart = fc
  .array(
    fc.record({
      at: fc.integer({ min: 0, max: 63 }),
      keys: fc.uniqueArray(fc.integer({ min: 28, max: 96 }), { minLength: 1, maxLength: 6 }),
      right: fc.boolean(),
    }),
    { minLength: 4, maxLength: 30 },
  )
  .map((list) =>
    part(
      4,
      list.map(({ at, keys, right }): Struck => [at * 840, keys, right ? 'R' : 'L', 840]),
    ),
  );

describe('reduce', () => {
  it('opens, shares and thins a thick part, top and bass kept', () => {
    const made = reduce({ passage: THICK });
    expect(made?.kept.top).toBe(1);
    expect(made?.kept.bass).toBe(1);
    expect(made?.kept.thirds).toBe(1);
    expect(made?.changes.map((c) => c.code)).toContain('low-close');
    for (const change of made?.changes ?? []) expect(change.message.length).toBeGreaterThan(10);
  });

  it('does not make a change that is refused', () => {
    const first = reduce({ passage: THICK });
    const change = first?.changes.find((c) => c.code === 'low-close');
    expect(change).toBeDefined();
    const again = reduce({ passage: THICK, refused: [change?.id ?? ''] });
    expect(again?.changes.map((c) => c.id)).not.toContain(change?.id);
    expect(again?.problems.filter((p) => p.severity === 'error')).toEqual([]);
  });

  it('lets every change be refused, exchanges of hands and rolls too, or says that it cannot be', () => {
    // A tenth and a fifth in one hand, crossed hands, five notes at once, a wide chord.
    // Slow enough for a full chord to be rolled and heard out.
    const slow = 54_000;
    const strokes: Struck[] = [
      [0, [36, 43, 52, 60], 'L', 3360],
      [0, [64, 67, 72, 76, 79], 'R', 3360],
      [3360, [48], 'R', 3360],
      [3360, [72, 76], 'L', 3360],
      [6720, [36, 43, 55], 'L', 3360],
      [6720, [60, 67, 79], 'R', 3360],
      [10080, [60, 64], 'L', 3360],
      [10080, [55, 79], 'R', 3360],
      [13440, [36, 48, 64], 'L', 6720],
    ];
    const hard = part(2, strokes, slow);
    const first = reduce({ passage: hard });
    const codes = new Set(first?.changes.map((c) => c.code));
    expect(codes.has('shared')).toBe(true);
    expect(codes.has('rolled') || codes.has('slow-chords')).toBe(true);
    for (const change of first?.changes ?? []) {
      const again = reduce({ passage: hard, refused: [change.id] });
      expect(again?.problems.filter((p) => p.severity === 'error')).toEqual([]);
      const same = again?.changes.find((c) => c.id === change.id);
      if (same === undefined) continue;
      expect(same.unavoidable).toBe(true);
      expect(same.message).toContain('Not to be avoided');
      // Only what no hand can do comes back.
      expect(['thinned', 'no-pedal']).toContain(same.code);
    }
  });

  it('keeps the form of repeats, so that the writer can fold them', () => {
    const bars = makeBars({ beats: 4, unit: 4 }, 2).map((b, i) => ({
      ...b,
      number: '1',
      written: 0,
      pass: i + 1,
    }));
    const bar: Struck[] = [0, 1].flatMap((i): Struck[] => [
      [i * 13440, [48, 55], 'L', 6720],
      [i * 13440, [64, 72], 'R', 13440],
    ]);
    const passage: Passage = {
      ...part(2, bar),
      bars,
      form: [{ number: '1', repeatStart: true, repeatEnd: 2 }],
    };
    const made = reduce({ passage });
    expect(made?.planned.passage.form).toEqual(passage.form);
    expect(made?.planned.passage.bars).toEqual(bars);
    const xml = writeMusicXml((made as NonNullable<typeof made>).planned);
    expect(xml.match(/<measure /g)).toHaveLength(1);
    expect(xml).toContain('direction="backward"');
  });

  it('reduces a piano part from MIDI as well', () => {
    const planned = reduce({ passage: THICK, difficulty: 'faithful' })?.planned;
    if (planned === undefined) throw new Error('stopped by nobody');
    const read = readPart('piano.mid', writeMidi(planned));
    if (!read.ok) throw new Error('the file is not read');
    const made = reduce({ passage: read.value.passage });
    expect(read.value.passage.plucks.length).toBeGreaterThan(8);
    expect(made?.problems.filter((p) => p.severity === 'error')).toEqual([]);
    expect(made?.kept.top).toBe(1);
    expect(made?.kept.bass).toBe(1);
    expect(made?.chords.map((c) => c.text)).toEqual(['C7', 'F', 'G7']);
  });

  it('sweeps what flies by chromatically, with the pedals set, read back from the file', () => {
    const flight = Array.from({ length: 25 }, (_, i): Struck => [13440 + i * 105, [60 + i], 'R', 105]);
    const passage = part(3, [
      [0, [48, 55], 'L', 13440],
      [0, [64, 72], 'R', 13440],
      ...flight,
      [26880, [36, 43], 'L', 13440],
      [26880, [76, 84], 'R', 13440],
    ]);
    const made = reduce({ passage });
    expect(made?.changes.map((c) => c.code)).toContain('chromatic-run');
    expect(made?.planned.passage.sweeps.map((s) => [s.from, s.to])).toEqual([[21, 35]]);
    const back = readMusicXml(writeMusicXml((made as NonNullable<typeof made>).planned));
    if (!back.ok) throw new Error('what was written cannot be read');
    expect(back.value.passage.sweeps).toHaveLength(1);
    expect(checkPart(back.value).problems.filter((p) => p.severity === 'error')).toEqual([]);
  });

  it('stops when it is told to', () => {
    const seen: number[] = [];
    const made = reduce({ passage: THICK }, (done) => {
      seen.push(done);
      return false;
    });
    expect(made).toBeNull();
    expect(seen).toEqual([1]);
  });

  it('whatever stands in the part, no error is left, read back from the file, and the answer is the same again', () => {
    let bodies = 0;
    fc.assert(
      fc.property(arbitraryPart, fc.constantFrom(...DIFFICULTIES), (passage, difficulty) => {
        const made = reduce({ passage, difficulty });
        if (made === null) throw new Error('stopped by nobody');
        expect(made.problems.filter((p) => p.severity === 'error')).toEqual([]);
        const back = readMusicXml(writeMusicXml(made.planned));
        expect(back.ok).toBe(true);
        if (back.ok) {
          expect(checkPart(back.value).problems.filter((p) => p.severity === 'error')).toEqual([]);
        }
        expect(reduce({ passage, difficulty })).toEqual(made);
        bodies++;
      }),
      { numRuns: 12, seed: 6 },
    );
    expect(bodies).toBe(12);
  });
});
