/** The one seeded source of chance. Handed in, never ambient; integers only, so every engine agrees. */

import seedrandom from 'seedrandom';

export interface Random {
  /** A uniform integer in [0, n). n must be a positive integer. */
  below(n: number): number;
  /** One element of a non-empty array. */
  pick<T>(items: readonly T[]): T;
  /** A new array in random order. */
  shuffle<T>(items: readonly T[]): T[];
  /** True with probability `parts` in `of`. */
  chance(parts: number, of: number): boolean;
  /** An independent source named by a label: drawing from it leaves this one untouched. */
  fork(label: string): Random;
}

/** A source for the given seed. Same seed, same draws, in any engine. */
export function seededRandom(seed: string | number): Random {
  const name = String(seed);
  const generator = seedrandom.alea(name);
  const below = (n: number): number => {
    if (!Number.isInteger(n) || n <= 0) throw new RangeError(`below(n) needs a positive integer, got ${n}`);
    // int32 is exact in every engine; the bias of modulo is under n / 2^32.
    return (generator.int32() >>> 0) % n;
  };
  return {
    below,
    pick: <T>(items: readonly T[]): T => {
      if (items.length === 0) throw new RangeError('pick from nothing');
      return items[below(items.length)] as T;
    },
    shuffle: <T>(items: readonly T[]): T[] => {
      const out = [...items];
      for (let i = out.length - 1; i > 0; i--) {
        const j = below(i + 1);
        [out[i], out[j]] = [out[j] as T, out[i] as T];
      }
      return out;
    },
    chance: (parts, of) => below(of) < parts,
    fork: (label) => seededRandom(`${name}/${label}`),
  };
}
