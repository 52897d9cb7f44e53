/** Where the work is kept: IndexedDB, with localStorage beside it for the last moment of a page. */

import { openDB } from 'idb';

export interface Keep {
  /** The newest text kept, or null. Never rejects. */
  read(): Promise<string | null>;
  /** Never rejects. */
  write(text: string): Promise<void>;
  /** Writes at once, for a page that is about to go. */
  writeNow(text: string): void;
  /** Puts a text that could not be read where nothing overwrites it. Never rejects. */
  aside(text: string): Promise<void>;
}

const DATABASE = 'harpwright';
const STORE = 'texts';

/** A kept text with its number, so that the newer of two places is known without a clock. */
const stamped = (number: number, text: string): string => `${number}:${text}`;
export function unstamp(kept: string): { readonly number: number; readonly text: string } {
  const match = /^(\d{1,15}):/.exec(kept);
  return match === null
    ? { number: 0, text: kept }
    : { number: Number(match[1]), text: kept.slice(match[0].length) };
}

/** The browser's own storage, one text a name; either half may be missing or full without the other being harmed. */
export function browserKeep(name: 'work' | 'part'): Keep {
  const KEY = name;
  const LOCAL = `harpwright.${name}`;
  let number = 0;
  // Inside a promise: where there is no IndexedDB at all, opening it throws at once.
  const database = Promise.resolve()
    .then(() => openDB(DATABASE, 1, { upgrade: (db) => void db.createObjectStore(STORE) }))
    .catch(() => null);
  const local = (use: (storage: Storage) => void): void => {
    try {
      use(localStorage);
    } catch {
      // No storage in this browser's mode: IndexedDB may still be there.
    }
  };
  return {
    read: async () => {
      const found: string[] = [];
      local((storage) => {
        const text = storage.getItem(LOCAL);
        if (text !== null) found.push(text);
      });
      try {
        const text: unknown = await (await database)?.get(STORE, KEY);
        if (typeof text === 'string') found.push(text);
      } catch {
        // Fall back to what localStorage had.
      }
      const newest = found.map(unstamp).sort((a, b) => b.number - a.number)[0];
      number = newest?.number ?? 0;
      return newest?.text ?? null;
    },
    write: async (text) => {
      const kept = stamped(++number, text);
      try {
        const db = await database;
        if (db === null) local((storage) => storage.setItem(LOCAL, kept));
        else await db.put(STORE, kept, KEY);
      } catch {
        local((storage) => storage.setItem(LOCAL, kept));
      }
    },
    writeNow: (text) => {
      const kept = stamped(++number, text);
      local((storage) => storage.setItem(LOCAL, kept));
      // A text too long for the one goes on its way to the other: a write that has begun is mostly brought to its end.
      void database.then((db) => db?.put(STORE, kept, KEY)).catch(() => undefined);
    },
    aside: async (text) => {
      try {
        const db = await database;
        if (db !== null) await db.put(STORE, text, `aside-${KEY}-${(await db.count(STORE)) + 1}`);
        else local((storage) => storage.setItem(`${LOCAL}.aside-${storage.length + 1}`, text));
      } catch {
        local((storage) => storage.setItem(`${LOCAL}.aside`, text));
      }
    },
  };
}

export interface Saver {
  /** Keeps this text soon; only the last of several counts. */
  save(text: string): void;
  /** Keeps what waits, at once. */
  flush(): void;
}

/** Debounced writing. `waitMs` from the last `save` to the write. */
export function saver(keep: Pick<Keep, 'write' | 'writeNow'>, waitMs: number): Saver {
  let waiting: string | null = null;
  let timer: ReturnType<typeof setTimeout> | undefined;
  return {
    save: (text) => {
      waiting = text;
      clearTimeout(timer);
      timer = setTimeout(() => {
        const now = waiting;
        waiting = null;
        if (now !== null) void keep.write(now);
      }, waitMs);
    },
    flush: () => {
      clearTimeout(timer);
      if (waiting !== null) keep.writeNow(waiting);
      waiting = null;
    },
  };
}
