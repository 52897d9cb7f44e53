// Seeded short passages for the pedal tests.
import { type Random, seededRandom } from '../../src/base/random';
import { noteTicks, ticks } from '../../src/base/units';
import { makeBars } from '../../src/music/metre';
import type { Passage, Pluck, Sweep } from '../../src/music/passage';
import { harpSpellings, midiOf } from '../../src/music/pitch';

export interface PassageShape {
  readonly onsets: number;
  readonly most: number;
  readonly milliBpm: number;
  readonly sweeps?: boolean;
  /** One note in so many has its spelling fixed; 12 unless given. */
  readonly fixedIn?: number;
  /** Sixteenths between onsets to choose from. */
  readonly gaps?: readonly number[];
  /** Lowest MIDI key and number of keys to choose from. */
  readonly keys?: readonly [number, number];
}

/** Onsets on sixteenths, one to `most` notes each, chromatic between C3 and B5. */
export function randomPassage(random: Random, shape: PassageShape): Passage {
  const plucks: Pluck[] = [];
  const sweeps: Sweep[] = [];
  let at = 0;
  const gaps = shape.gaps ?? [1, 1, 2, 2, 3, 4];
  const [low, count] = shape.keys ?? [48, 36];
  for (let i = 0; i < shape.onsets; i++) {
    const onset = noteTicks(at, 16);
    const gap = random.pick(gaps);
    if (shape.sweeps === true && random.chance(1, 4)) {
      const from = 14 + random.below(14);
      const span = 2 + random.below(5);
      const settings = Array.from({ length: 1 + random.below(2) }, () => random.below(2187));
      sweeps.push({
        id: `s${i}`,
        onset,
        duration: noteTicks(1 + random.below(gap + 1), 16),
        hand: 'R',
        from,
        to: random.chance(1, 2) ? from + span : from - span,
        settings,
        dynamic: 'mf',
      });
    } else {
      const used = new Set<number>();
      for (let n = 1 + random.below(shape.most); n > 0; n--) {
        const pitch = random.pick(harpSpellings(low + random.below(count)));
        if (used.has(midiOf(pitch))) continue;
        used.add(midiOf(pitch));
        plucks.push({
          id: `n${i}.${n}`,
          onset,
          duration: noteTicks(gap, 16),
          pitch,
          hand: null,
          finger: null,
          technique: 'ordinary',
          dynamic: 'mf',
          ...(random.chance(1, shape.fixedIn ?? 12) ? { fixed: true } : {}),
        });
      }
    }
    at += gap;
  }
  return {
    title: 'seeded',
    bars: makeBars({ beats: 4, unit: 4 }, Math.ceil((at + 1) / 16)),
    tempo: [{ onset: ticks(0), milliBpm: shape.milliBpm }],
    fifths: 0,
    plucks,
    rolls: [],
    sweeps,
    trembles: [],
    chords: [],
    damps: [],
  };
}

/** So many of them, at several tempi. */
export const passages = (seed: string, count: number, onsets = 12): Passage[] => {
  const random = seededRandom(seed);
  return Array.from({ length: count }, () =>
    randomPassage(random, {
      onsets,
      most: 3,
      milliBpm: random.pick([48_000, 72_000, 120_000, 176_000]),
      sweeps: random.chance(1, 5),
    }),
  );
};
