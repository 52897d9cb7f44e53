/** How alike two passages are, and a choice from ranked candidates that keeps the list varied. */

import type { Passage } from '../music/passage';
import { midiOf } from '../music/pitch';

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

export interface Candidate {
  readonly id: string;
  readonly family: string;
  readonly total: number;
  readonly events: ReadonlySet<number>;
}

/** Points added for each proposal of the same family already chosen, so that families mix. */
export const SAME_FAMILY = 25;

/**
 * Up to `count` candidates, the cheapest first where each further one of a family already chosen costs
 * SAME_FAMILY more; none is ALIKE one before it. Ties go to the earlier candidate.
 */
export function chooseVaried<T extends Candidate>(candidates: readonly T[], count: number): T[] {
  const chosen: T[] = [];
  const left = new Set(candidates);
  const taken = new Map<string, number>();
  while (chosen.length < count && left.size > 0) {
    let best: T | null = null;
    let bestCost = Infinity;
    for (const c of left) {
      const cost = c.total + SAME_FAMILY * (taken.get(c.family) ?? 0);
      if (cost < bestCost) {
        best = c;
        bestCost = cost;
      }
    }
    if (best === null) break;
    const pick = best;
    left.delete(pick);
    if (chosen.some((c) => likeness(c.events, pick.events) >= ALIKE)) continue;
    chosen.push(pick);
    taken.set(pick.family, (taken.get(pick.family) ?? 0) + 1);
  }
  return chosen;
}
