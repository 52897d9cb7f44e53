/** Numbered requests: only the newest is answered with its value. */

export type Reply<T> =
  | { readonly stale: true }
  | { readonly stale: false; readonly ok: true; readonly value: T }
  | { readonly stale: false; readonly ok: false; readonly reason: string };

export type Ask<Q, T> = (question: Q) => Promise<Reply<T>>;

/** Wraps an asynchronous call so that a reply that comes after a newer question says it is stale. Never rejects. */
export function latestOnly<Q, T>(call: (question: Q, isNewest: () => boolean) => Promise<T>): Ask<Q, T> {
  let newest = 0;
  return async (question) => {
    const number = ++newest;
    try {
      const value = await call(question, () => number === newest);
      return number === newest ? { stale: false, ok: true, value } : { stale: true };
    } catch (error) {
      if (number !== newest) return { stale: true };
      return { stale: false, ok: false, reason: error instanceof Error ? error.message : String(error) };
    }
  };
}
