/** The bars that a remark concerns: those of its place and of every note that it names. */

import type { Problem } from '../base/problem';
import { type Ticks, ticks } from '../base/units';
import { barAt } from '../music/metre';
import type { Passage } from '../music/passage';

/** Indices of bars in order, each once; none for what is said of the whole, of a text or of a file. */
export type BarsOf = (p: Problem) => readonly number[];

/** A pedal move is named by its letter and instant. */
const MOVE = /^[A-G]@(\d+)$/;

/** Looks a passage's notes up once, then answers for each problem in proportion to the notes that it names. */
export function barsConcerned(passage: Passage): BarsOf {
  const { bars, plucks, sweeps, trembles } = passage;
  if (bars.length === 0) return () => [];
  const onsets = new Map<string, Ticks>();
  for (const list of [plucks, sweeps, trembles]) for (const x of list) onsets.set(x.id, x.onset);
  for (const t of trembles) for (const note of t.notes) onsets.set(note.id, t.onset);
  const onsetOf = (id: string): Ticks | undefined => {
    const move = MOVE.exec(id);
    return move === null ? onsets.get(id) : ticks(Number(move[1]));
  };
  return (p) => {
    if (p.where.kind !== 'music') return [];
    const found = new Set([barAt(bars, p.where.onset).index]);
    for (const id of p.where.ids) {
      const onset = onsetOf(id);
      if (onset !== undefined) found.add(barAt(bars, onset).index);
    }
    return [...found].sort((a, b) => a - b);
  };
}
