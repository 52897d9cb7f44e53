// A keep that lives in the test.
import type { Keep } from '../../src/app/keep';

export interface Memory extends Keep {
  kept: string | null;
  readonly asides: string[];
}

export function memory(kept: string | null): Memory {
  const m: Memory = {
    kept,
    asides: [],
    read: () => Promise.resolve(m.kept),
    write: (text) => {
      m.kept = text;
      return Promise.resolve();
    },
    writeNow: (text) => {
      m.kept = text;
    },
    aside: (text) => {
      m.asides.push(text);
      return Promise.resolve();
    },
  };
  return m;
}
