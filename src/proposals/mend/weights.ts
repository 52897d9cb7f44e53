/** What the ear would miss: a weight for every note, and what each kind of repair costs before it. */

import type { HarmonyMark, Passage, Pluck } from '../../music/passage';
import { barAt, beatTicks } from '../../music/metre';
import { midiOf, pitchClass } from '../../music/pitch';
import type { RepairKind } from './types';

/** Points, common practice: the order matters, the distances only between kinds and notes. */
export const WEIGHTS = {
  /** The highest note of an onset: what is heard as the line. */
  top: 100,
  /** The lowest. */
  bass: 80,
  /** The chord's third or seventh, where no other note of the onset has it. */
  naming: 60,
  inner: 1,
} as const;

/** Onsets at most a sixteenth apart on both sides make a run. */
const RUN_STEP = 840;

/** Points for a change before what its notes weigh; further notes in one change cost a quarter each. */
export const KIND_LOSS: Readonly<Record<RepairKind, number>> = {
  respell: 1,
  pedal: 2,
  drop: 4,
  hand: 6,
  octave: 10,
  roll: 12,
  split: 16,
  homophone: 18,
  thin: 24,
  slow: 40,
  'second-harp': 70,
  ossia: 90,
};

/** Hundredths of its weight that a note loses in a change of a kind. */
const SHARE: Readonly<Record<RepairKind, number>> = {
  respell: 0,
  pedal: 0,
  drop: 100,
  hand: 0,
  octave: 50,
  roll: 0,
  split: 25,
  homophone: 0,
  thin: 100,
  slow: 0,
  'second-harp': 25,
  ossia: 100,
};

/** The loss of a change that concerns notes of these weights. */
export function lossOf(kind: RepairKind, weights: readonly number[]): number {
  const base = KIND_LOSS[kind];
  const more = Math.floor((base * Math.max(0, weights.length - 1)) / 4);
  const heard = weights.reduce((sum, w) => sum + w, 0);
  return base + more + Math.floor((heard * SHARE[kind]) / 100);
}

/** Semitones over the root: third, fifth, seventh (0 for none). The commoner first, which wins between equals. */
const SHAPES: readonly (readonly [number, number, number])[] = [
  [4, 7, 0],
  [3, 7, 0],
  [4, 7, 10],
  [3, 7, 10],
  [4, 7, 11],
  [3, 6, 10],
  [3, 6, 9],
  [3, 6, 0],
  [4, 8, 0],
];

/** Third and seventh (pitch classes) of the chord that best fits what sounds; the bass helps to find the root. */
export function namingTones(sounding: readonly number[], bass: number): ReadonlySet<number> {
  let best = -Infinity;
  let found: ReadonlySet<number> = new Set();
  for (let root = 0; root < 12; root++) {
    for (const [third, fifth, seventh] of SHAPES) {
      const tones = [0, third, fifth, ...(seventh === 0 ? [] : [seventh])].map((n) => (root + n) % 12);
      const hit = sounding.filter((pc) => tones.includes(pc)).length;
      const missing = tones.filter((pc) => !sounding.includes(pc)).length;
      const score = 4 * hit - 6 * (sounding.length - hit) - 3 * missing + (root === bass ? 2 : 0);
      if (score <= best) continue;
      best = score;
      found = new Set([third, ...(seventh === 0 ? [] : [seventh])].map((n) => (root + n) % 12));
    }
  }
  return found;
}

/** The chord symbol in force, where the part has one. */
function symbolAt(chords: readonly HarmonyMark[], onset: number): HarmonyMark | null {
  let found: HarmonyMark | null = null;
  for (const c of chords) if (c.onset <= onset) found = c;
  return found;
}

/** Weights of all plucks by id. */
export function noteWeights(passage: Passage): ReadonlyMap<string, number> {
  const out = new Map<string, number>();
  const byBeat = new Map<number, Pluck[]>();
  const byOnset = new Map<number, Pluck[]>();
  const put = (map: Map<number, Pluck[]>, key: number, p: Pluck): void => {
    const list = map.get(key);
    if (list === undefined) map.set(key, [p]);
    else list.push(p);
  };
  const beatOf = (onset: Pluck['onset']): number => {
    if (passage.bars.length === 0) return 0;
    const bar = barAt(passage.bars, onset);
    const beat = beatTicks(bar.metre);
    return bar.start + Math.floor((onset - bar.start) / beat) * beat;
  };
  for (const p of passage.plucks) {
    put(byOnset, p.onset, p);
    put(byBeat, beatOf(p.onset), p);
  }
  const naming = new Map<number, ReadonlySet<number>>();
  for (const [beat, plucks] of byBeat) {
    const low = plucks.reduce((a, b) => (midiOf(b.pitch) < midiOf(a.pitch) ? b : a));
    const symbol = symbolAt(passage.chords, beat);
    const bass =
      symbol?.root === undefined || symbol.root === null
        ? midiOf(low.pitch) % 12
        : pitchClass(symbol.root.letter, symbol.root.alter);
    naming.set(beat, namingTones([...new Set(plucks.map((p) => midiOf(p.pitch) % 12))], bass));
  }
  const onsets = [...byOnset.keys()].sort((a, b) => a - b);
  const quick = new Set(
    onsets.filter(
      (at, i) =>
        at - (onsets[i - 1] ?? -Infinity) <= RUN_STEP && (onsets[i + 1] ?? Infinity) - at <= RUN_STEP,
    ),
  );
  for (const [onset, plucks] of byOnset) {
    const keys = plucks.map((p) => midiOf(p.pitch));
    const [top, bass] = [Math.max(...keys), Math.min(...keys)];
    const tones = naming.get(beatOf(onset as Pluck['onset'])) as ReadonlySet<number>;
    plucks.forEach((p, i) => {
      const key = keys[i] as number;
      const alone = keys.filter((k) => k % 12 === key % 12).length === 1;
      const twin = keys.indexOf(key) !== i;
      // A quick run in octaves is one line: what the lower notes add is colour.
      const inOctaves = quick.has(onset) && key !== top && keys.every((k) => (top - k) % 12 === 0);
      const own =
        twin || inOctaves
          ? 0
          : key === top
            ? WEIGHTS.top
            : key === bass
              ? WEIGHTS.bass
              : alone && tones.has(key % 12)
                ? WEIGHTS.naming
                : WEIGHTS.inner;
      out.set(p.id, own);
    });
  }
  return out;
}
