/** How hard a planned passage is for hands and feet: five plain figures and one word. */

import type { PlannedPassage } from '../harp/planned';
import { stringOf } from '../harp/strings';
import type { Hand } from '../music/passage';
import { tempoMap } from '../music/tempo';

export const DIFFICULTY_WORDS = ['easy', 'medium', 'hard', 'very hard'] as const;
export type DifficultyWord = (typeof DIFFICULTY_WORDS)[number];

export interface Difficulty {
  /** Widest chord of one hand, as an interval: 8 is an octave, 10 a tenth; 1 where nothing is struck together. */
  readonly stretch: number;
  /** Farthest that a hand moves in under a second, in strings between the middles of what it strikes. */
  readonly leap: number;
  /** Most instants in one second at which one hand plucks. Sweeps and trembles do not count. */
  readonly speed: number;
  /** Shortest time to place a new chord of one hand after anything else it plays, in milliseconds; null for none. */
  readonly placing: number | null;
  /** Most pedal moves in four seconds. */
  readonly feet: number;
  /** By the two hardest of the five. */
  readonly word: DifficultyWord;
}

/** Most of each that is still easy, medium, hard. Common practice. */
const LIMITS = {
  stretch: [8, 9, 10],
  leap: [7, 14, 21],
  speed: [3, 5, 7],
  feet: [1, 3, 5],
} as const;
/** Least time to place, in milliseconds, that is still easy, medium, hard. Common practice. */
const PLACING = [800, 500, 300] as const;

const level = (value: number, limits: readonly number[]): number => limits.filter((l) => value > l).length;

interface Onset {
  readonly at: number;
  readonly strings: readonly number[];
}

function onsetsOf({ passage }: PlannedPassage, hand: Hand): Onset[] {
  const map = tempoMap(passage.tempo);
  const out = new Map<number, { at: number; strings: number[] }>();
  for (const p of passage.plucks) {
    if (p.hand !== hand) continue;
    const o = out.get(p.onset) ?? { at: map.microsAt(p.onset), strings: [] };
    out.set(p.onset, o);
    o.strings.push(stringOf(p.pitch));
  }
  return [...out.values()].sort((a, b) => a.at - b.at);
}

/** Most instants in any window of this many microseconds; its end is not inside. */
function most(instants: readonly number[], window: number): number {
  let [count, from] = [0, 0];
  instants.forEach((at, i) => {
    while ((instants[from] as number) <= at - window) from++;
    count = Math.max(count, i - from + 1);
  });
  return count;
}

/** The figures of a passage with hands; a passage without plucks and moves is easy. */
export function difficulty(planned: PlannedPassage): Difficulty {
  let [stretch, leap, speed] = [1, 0, 0];
  let placing: number | null = null;
  for (const hand of ['L', 'R'] as const) {
    const onsets = onsetsOf(planned, hand);
    speed = Math.max(
      speed,
      most(
        onsets.map((o) => o.at),
        1_000_000,
      ),
    );
    onsets.forEach((o, i) => {
      const [low, high] = [Math.min(...o.strings), Math.max(...o.strings)];
      stretch = Math.max(stretch, high - low + 1);
      const before = onsets[i - 1];
      if (before === undefined) return;
      const time = o.at - before.at;
      const middles = Math.abs(low + high - Math.min(...before.strings) - Math.max(...before.strings)) >> 1;
      if (time < 1_000_000) leap = Math.max(leap, middles);
      const same = before.strings.join() === o.strings.join();
      if (o.strings.length > 1 && !same) placing = Math.min(placing ?? Infinity, Math.floor(time / 1000));
    });
  }
  const map = tempoMap(planned.passage.tempo);
  const feet = most(
    planned.moves.map((m) => map.microsAt(m.onset)),
    4_000_000,
  );
  const wait: number | null = placing;
  const levels = [
    level(stretch, LIMITS.stretch),
    level(leap, LIMITS.leap),
    level(speed, LIMITS.speed),
    level(feet, LIMITS.feet),
    wait === null ? 0 : PLACING.filter((l) => (wait as number) < l).length,
  ].sort((a, b) => b - a);
  const word = DIFFICULTY_WORDS[((levels[0] as number) + (levels[1] as number) + 1) >> 1] as DifficultyWord;
  return { stretch, leap, speed, placing, feet, word };
}
