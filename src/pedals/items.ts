/** The things in a passage that a plan must serve, one by one: plucks, sweeps, notes of trembles. */

import type { Ticks } from '../base/units';
import type { Passage } from '../music/passage';

export interface Item {
  readonly id: string;
  readonly onset: Ticks;
}

/** Sorted by onset. */
export const itemsOf = (passage: Passage): Item[] =>
  [
    ...passage.plucks,
    ...passage.sweeps,
    ...passage.trembles.flatMap((t) => t.notes.map((n) => ({ id: n.id, onset: t.onset }))),
  ]
    .map(({ id, onset }) => ({ id, onset }))
    .sort((a, b) => a.onset - b.onset);

/** The passage with only the notes and sweeps of these ids. */
export function restrict(passage: Passage, ids: ReadonlySet<string>): Passage {
  return {
    ...passage,
    plucks: passage.plucks.filter((p) => ids.has(p.id)),
    sweeps: passage.sweeps.filter((s) => ids.has(s.id)),
    trembles: passage.trembles
      .map((t) => ({ ...t, notes: t.notes.filter((n) => ids.has(n.id)) }))
      .filter((t) => t.notes.length > 0),
    ...(passage.slides === undefined ? {} : { slides: passage.slides.filter((s) => ids.has(s.pluck)) }),
  };
}
