/** How alike two passages are, and a choice from ranked candidates that keeps the list varied. */

import type { Passage } from '../music/passage';
import { midiOf } from '../music/pitch';
import { type Features, distanceOf } from './variety-distance';

/** What is heard when, in whole numbers: one entry a sounding event. */
export function fingerprint(passage: Passage): ReadonlySet<number> {
  const events = new Set<number>();
  const add = (onset: number, kind: number): void => {
    events.add(onset * 1024 + kind);
  };
  for (const p of passage.plucks) add(p.onset, midiOf(p.pitch) + (p.technique === 'ordinary' ? 0 : 128));
  for (const s of passage.sweeps) {
    add(s.onset, 256 + s.from);
    add(s.onset + s.duration, 384 + s.to);
  }
  for (const t of passage.trembles) for (const n of t.notes) add(t.onset, 512 + midiOf(n.pitch));
  return events;
}

/** Shared events per hundred of all events of both (Jaccard's index), rounded down; 100 for two empty sets. */
export function likeness(a: ReadonlySet<number>, b: ReadonlySet<number>): number {
  let shared = 0;
  for (const event of a) if (b.has(event)) shared++;
  const all = a.size + b.size - shared;
  return all === 0 ? 100 : Math.floor((100 * shared) / all);
}

/** Two proposals that share this many events in a hundred are alike: only the cheaper is shown. */
export const ALIKE = 60;

/** Proposals of one list lie at least this far apart (variety-distance.ts; 500 is the farthest). */
export const APART = 25;

export interface Candidate {
  readonly id: string;
  readonly family: string;
  readonly total: number;
  readonly events: ReadonlySet<number>;
  /** Absent: only the events tell. */
  readonly features?: Features;
}

/** Points added for each proposal of the same family already listed, so that families mix in the order too. */
export const SAME_FAMILY = 25;

const isNew = (chosen: readonly Candidate[], c: Candidate): boolean =>
  chosen.every(
    (other) =>
      likeness(other.events, c.events) < ALIKE &&
      (other.features === undefined ||
        c.features === undefined ||
        distanceOf(other.features, c.features).total >= APART),
  );

/** Takes the cheapest of each family, then the second of each, and so on; never two alike. */
function select<T extends Candidate>(candidates: readonly T[], count: number): T[] {
  const byFamily = new Map<string, T[]>();
  const cheapestFirst = candidates
    .map((c, i) => ({ c, i }))
    .sort((a, b) => a.c.total - b.c.total || a.i - b.i);
  for (const { c } of cheapestFirst) byFamily.set(c.family, [...(byFamily.get(c.family) ?? []), c]);
  const chosen: T[] = [];
  const queues = [...byFamily.values()];
  while (chosen.length < count && queues.some((queue) => queue.length > 0)) {
    const round: T[] = [];
    for (const queue of queues) {
      let next = queue.shift();
      while (next !== undefined && !isNew([...chosen, ...round], next)) next = queue.shift();
      if (next !== undefined) round.push(next);
    }
    round.sort((a, b) => a.total - b.total);
    chosen.push(...round.slice(0, count - chosen.length));
  }
  return chosen;
}

/**
 * Up to `count` candidates, no two ALIKE nor nearer than APART. Every family is heard before any is heard twice; within that the
 * cheaper is taken. They are listed cheapest first, where each further one of a family already listed counts
 * SAME_FAMILY more. Ties go to the earlier candidate.
 */
export function chooseVaried<T extends Candidate>(candidates: readonly T[], count: number): T[] {
  const left = select(candidates, count);
  const listed: T[] = [];
  const heard = new Map<string, number>();
  const cost = (c: T): number => c.total + SAME_FAMILY * (heard.get(c.family) ?? 0);
  while (left.length > 0) {
    let best = 0;
    for (let i = 1; i < left.length; i++) if (cost(left[i] as T) < cost(left[best] as T)) best = i;
    const [next] = left.splice(best, 1) as [T];
    listed.push(next);
    heard.set(next.family, (heard.get(next.family) ?? 0) + 1);
  }
  return listed;
}

/**
 * Up to `count` candidates, the least total first, no two ALIKE nor nearer than APART, whatever their families: where
 * the total says how near a candidate comes to what is wanted.
 */
export function chooseNearest<T extends Candidate>(candidates: readonly T[], count: number): T[] {
  const chosen: T[] = [];
  for (const c of [...candidates].sort((a, b) => a.total - b.total))
    if (chosen.length < count && isNew(chosen, c)) chosen.push(c);
  return chosen;
}
