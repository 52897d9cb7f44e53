/** Rendered strings kept by key, the least recently used given up when they outgrow their share of memory. */

export interface Bank<T> {
  get(key: string): T | undefined;
  has(key: string): boolean;
  set(key: string, value: T): void;
  clear(): void;
  readonly bytes: number;
  readonly size: number;
}

/** A bank of at most `capacity` bytes (the newest entry stays even when it alone is larger). */
export function createBank<T>(capacity: number, bytesOf: (value: T) => number): Bank<T> {
  const entries = new Map<string, T>();
  let bytes = 0;
  const drop = (key: string): void => {
    const old = entries.get(key);
    if (old === undefined) return;
    entries.delete(key);
    bytes -= bytesOf(old);
  };
  return {
    get: (key) => {
      const value = entries.get(key);
      if (value !== undefined) {
        entries.delete(key);
        entries.set(key, value);
      }
      return value;
    },
    has: (key) => entries.has(key),
    set: (key, value) => {
      drop(key);
      entries.set(key, value);
      bytes += bytesOf(value);
      for (const oldest of entries.keys()) {
        if (bytes <= capacity || oldest === key) break;
        drop(oldest);
      }
    },
    clear: () => {
      entries.clear();
      bytes = 0;
    },
    get bytes() {
      return bytes;
    },
    get size() {
      return entries.size;
    },
  };
}
