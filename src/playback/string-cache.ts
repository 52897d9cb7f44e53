/** Rendered strings kept between visits, in IndexedDB, by the version of the sound. Where that fails, nothing is kept. */

import { type DBSchema, type IDBPDatabase, openDB } from 'idb';
import { voiceKey } from '../sound/note';
import { MODEL_VERSION } from '../sound/version';
import type { StringRenderer } from './renderer';

export interface StringCache {
  /** Null where it has not been kept, or nothing can be read. Never rejects. */
  get(key: string): Promise<Float32Array | null>;
  /** Never throws. */
  set(key: string, samples: Float32Array): void;
  close(): void;
}

interface Schema extends DBSchema {
  strings: { key: string; value: Float32Array };
}

const DATABASE = 'harpwright-strings';
const STORE = 'strings';
/** Strings kept, some half a megabyte each. */
const MOST = 160;
/** Rendering is fast: a slow disk is not waited for, in milliseconds. */
const PATIENCE = 120;

/** A cache of the strings of one version of the sound; those of other versions are thrown away when it opens. */
export function createStringCache(version: string = MODEL_VERSION): StringCache {
  let opening: Promise<IDBPDatabase<Schema> | null> | null = null;
  let count = 0;
  const open = (): Promise<IDBPDatabase<Schema> | null> => {
    opening ??= (async () => {
      if (typeof indexedDB === 'undefined') return null;
      const db = await openDB<Schema>(DATABASE, 1, {
        upgrade: (fresh) => {
          fresh.createObjectStore(STORE);
        },
        blocking: () => {
          opening = Promise.resolve(null);
          db.close();
        },
        terminated: () => {
          opening = Promise.resolve(null);
        },
      });
      for (const key of await db.getAllKeys(STORE)) {
        if (key.startsWith(`${version}/`)) count++;
        else await db.delete(STORE, key);
      }
      return db;
    })().catch(() => null);
    return opening;
  };
  return {
    get: async (key) => {
      try {
        const found: unknown = await (await open())?.get(STORE, `${version}/${key}`);
        return found instanceof Float32Array && found.length > 0 ? found : null;
      } catch {
        return null;
      }
    },
    set: (key, samples) => {
      void open()
        .then(async (db) => {
          if (db === null || count >= MOST) return;
          count++;
          await db.put(STORE, samples, `${version}/${key}`);
        })
        .catch(() => {
          // A full or forbidden disk: this visit renders for itself, and asks no more.
          count = MOST;
        });
    },
    close: () => {
      void opening?.then((db) => db?.close());
      opening = Promise.resolve(null);
    },
  };
}

/** A renderer that looks in the cache first. What depends on the pedals of the moment is not kept. */
export function createCachedRenderer(
  renderer: StringRenderer,
  cache: StringCache,
  patience: number = PATIENCE,
): StringRenderer {
  return {
    render: async (request) => {
      const plain =
        request.halo === undefined &&
        request.buzz === undefined &&
        request.maxSeconds === undefined &&
        request.pluckAt === undefined &&
        request.body !== false;
      if (!plain) return renderer.render(request);
      const key = `${request.sampleRate}/${voiceKey(request)}`;
      let timer: ReturnType<typeof setTimeout> | undefined;
      const late = new Promise<null>((resolve) => {
        timer = setTimeout(() => resolve(null), patience);
      });
      const found = await Promise.race([cache.get(key), late]);
      clearTimeout(timer);
      if (found !== null) return found;
      const samples = await renderer.render(request);
      cache.set(key, samples);
      return samples;
    },
    dispose: () => {
      renderer.dispose();
      cache.close();
    },
  };
}
