/** Undo and redo over immutable values: steps of one kind in a row melt into one. */

export interface History<T> {
  readonly past: readonly T[];
  readonly present: T;
  readonly future: readonly T[];
  /** The kind of the last step, or null after an undo or a pause. */
  readonly kind: string | null;
}

const MOST = 200;

export const newHistory = <T>(present: T): History<T> => ({ past: [], present, future: [], kind: null });

/** A new value. With the same `kind` as the step before it replaces that step; null never melts. */
export function record<T>(h: History<T>, next: T, kind: string | null): History<T> {
  if (kind !== null && kind === h.kind) return { ...h, present: next, future: [] };
  return { past: [...h.past, h.present].slice(-MOST), present: next, future: [], kind };
}

export function undo<T>(h: History<T>): History<T> {
  const before = h.past.at(-1);
  if (before === undefined) return h;
  return { past: h.past.slice(0, -1), present: before, future: [h.present, ...h.future], kind: null };
}

export function redo<T>(h: History<T>): History<T> {
  const [after, ...future] = h.future;
  if (after === undefined) return h;
  return { past: [...h.past, h.present], present: after, future, kind: null };
}
