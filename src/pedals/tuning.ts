/** The inflections that discless strings could take in a part. */

import type { Position } from '../harp/setting';
import { stringOf } from '../harp/strings';
import type { Passage } from '../music/passage';
import { openSpellings } from './demands';
import type { Tuning } from './demand-types';
import type { PlanOptions } from './types';

/** Tunings of the discless strings that the passage touches, the default first. */
export function tuningsFor(passage: Passage, options: PlanOptions): Tuning[] {
  const { discless, disclessDefault } = options.instrument;
  if (discless.length === 0) return [{}];
  const wanted = new Map<number, Map<Position, number>>();
  const vote = (string: number, position: Position, weight: number): void => {
    if (!discless.includes(string)) return;
    const votes = wanted.get(string) ?? new Map<Position, number>();
    votes.set(position, (votes.get(position) ?? 0) + weight);
    wanted.set(string, votes);
  };
  const top = Math.max(...discless) + 2;
  for (const note of [...passage.plucks, ...passage.trembles.flatMap((t) => t.notes)]) {
    if (stringOf(note.pitch) > top) continue;
    openSpellings(note, options).forEach((p, i) => vote(stringOf(p), p.alter as Position, i === 0 ? 1 : 0));
  }
  for (const sweep of passage.sweeps) {
    for (const string of discless) {
      if (string < Math.min(sweep.from, sweep.to) || string > Math.max(sweep.from, sweep.to)) continue;
      for (const position of [0, -1, 1] as const) vote(string, position, 0);
    }
  }
  let tunings: Tuning[] = [{}];
  for (const [string, votes] of [...wanted.entries()].sort((a, b) => a[0] - b[0])) {
    const positions = [...votes.keys()].sort(
      (a, b) =>
        (votes.get(b) as number) - (votes.get(a) as number) ||
        Math.abs(a - disclessDefault) - Math.abs(b - disclessDefault) ||
        a - b,
    );
    tunings = tunings.flatMap((t) => positions.map((p) => ({ ...t, [string]: p })));
  }
  return tunings;
}
