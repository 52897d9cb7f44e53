/** Who listens to the player, and telling them. */

import type { PlayerEvents } from './types';

export interface Listeners {
  emit<E extends keyof PlayerEvents>(event: E, value: PlayerEvents[E]): void;
  on<E extends keyof PlayerEvents>(event: E, fn: (value: PlayerEvents[E]) => void): () => void;
  clear(): void;
}

export function createListeners(): Listeners {
  const all: { [E in keyof PlayerEvents]: Set<(value: PlayerEvents[E]) => void> } = {
    state: new Set(),
    note: new Set(),
    progress: new Set(),
    count: new Set(),
    end: new Set(),
  };
  return {
    emit: (event, value) => {
      for (const fn of [...all[event]]) fn(value);
    },
    on: (event, fn) => {
      all[event].add(fn);
      return () => {
        all[event].delete(fn);
      };
    },
    clear: () => {
      for (const set of Object.values(all)) set.clear();
    },
  };
}
