/** Glissandi with two and three fingers: which parallel intervals and triads sound under a setting. */

import { type Setting, positionOf } from '../harp/setting';
import { type StringIndex, stringLetter, stringPitch } from '../harp/strings';
import { midiOf } from '../music/pitch';

/** Fingers held so many strings above the lowest one while the hand sweeps. */
export interface Shape {
  readonly name: string;
  readonly fingers: 2 | 3;
  readonly steps: readonly number[];
}

/**
 * Shapes that a hand holds in a sweep: Berlioz (Grand traité d’instrumentation, p. 90) writes three fingers; thirds,
 * sixths and triads common practice.
 */
export const SHAPES: readonly Shape[] = [
  { name: 'thirds', fingers: 2, steps: [0, 2] },
  { name: 'fourths', fingers: 2, steps: [0, 3] },
  { name: 'fifths', fingers: 2, steps: [0, 4] },
  { name: 'sixths', fingers: 2, steps: [0, 5] },
  { name: 'octaves', fingers: 2, steps: [0, 7] },
  { name: 'triads', fingers: 3, steps: [0, 2, 4] },
  { name: 'sixth-chords', fingers: 3, steps: [0, 2, 5] },
  { name: 'six-four-chords', fingers: 3, steps: [0, 3, 5] },
];

export interface ParallelSound {
  readonly shape: string;
  /** What sounds together over the sweep, the commonest first: 'minor third', 'diminished triad'. */
  readonly sounds: readonly { readonly name: string; readonly times: number }[];
  /** One and the same sound at every string. */
  readonly uniform: boolean;
  /** Strings at which two fingers sound one pitch, or the upper finger sounds below the lower. */
  readonly collapsed: number;
}

const INTERVALS = [
  'unison',
  'minor second',
  'major second',
  'minor third',
  'major third',
  'fourth',
  'tritone',
  'fifth',
  'minor sixth',
  'major sixth',
  'minor seventh',
  'major seventh',
  'octave',
] as const;

/** Three pitch classes above one of them, by name; any rotation. */
const TRIADS: Readonly<Record<string, string>> = {
  '4 7': 'major triad',
  '3 7': 'minor triad',
  '3 6': 'diminished triad',
  '4 8': 'augmented triad',
  '5 7': 'suspended fourth',
};

/** The name of what sounds, from its keys, low to high as the fingers lie. */
export function soundName(keys: readonly number[]): string {
  const [low = 0, ...upper] = keys;
  if (upper.length === 1) {
    const n = (upper[0] as number) - low;
    return INTERVALS[n] ?? (n < 0 ? `${INTERVALS[-n] ?? `${-n} semitones`} below` : `${n} semitones`);
  }
  const pcs = [...new Set(keys.map((k) => ((k % 12) + 12) % 12))];
  for (const root of pcs) {
    const above = pcs.map((pc) => (pc - root + 12) % 12).sort((a, b) => a - b);
    const name = TRIADS[above.slice(1).join(' ')];
    if (name !== undefined && pcs.length === 3) return name;
  }
  return upper.map((k) => soundName([low, k])).join(' and ');
}

/**
 * What a shape sounds under a setting, its lowest finger going from one string to another (`low` ≤ `high`): one sound
 * for each string, counted by name.
 */
export function parallelSound(
  setting: Setting,
  shape: Shape,
  low: StringIndex,
  high: StringIndex,
): ParallelSound {
  const key = (s: StringIndex): number => midiOf(stringPitch(s, positionOf(setting, stringLetter(s))));
  const times = new Map<string, number>();
  let collapsed = 0;
  for (let s = low; s <= high; s++) {
    const keys = shape.steps.map((step) => key(s + step));
    const name = soundName(keys);
    times.set(name, (times.get(name) ?? 0) + 1);
    if (keys.some((k, i) => i > 0 && k <= (keys[i - 1] as number))) collapsed++;
  }
  const sounds = [...times]
    .map(([name, n]) => ({ name, times: n }))
    .sort((a, b) => b.times - a.times || (a.name < b.name ? -1 : 1));
  return { shape: shape.name, sounds, uniform: sounds.length === 1, collapsed };
}

/** Every shape of so many fingers under a setting, over an octave of strings; the most uniform first. */
export function shapesUnder(setting: Setting, fingers: 2 | 3, low: StringIndex = 7): ParallelSound[] {
  return SHAPES.filter((s) => s.fingers === fingers)
    .map((s) => parallelSound(setting, s, low, low + 6))
    .sort((a, b) => a.collapsed - b.collapsed || a.sounds.length - b.sounds.length);
}
