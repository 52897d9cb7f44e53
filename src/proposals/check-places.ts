/** The bars that a remark concerns: those of its place and of every note that it names. */

import type { Problem } from '../base/problem';
import { type Ticks, ticks } from '../base/units';
import { barAt } from '../music/metre';
import { stringName } from '../harp/strings';
import type { Passage } from '../music/passage';
import { pitchName } from '../music/pitch';

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

/** Names of the notes that a problem is about, as they are written, in the order in which it names them. */
export function notesNamed(passage: Passage): (p: Problem) => string[] {
  const names = new Map<string, string>();
  for (const p of passage.plucks) names.set(p.id, pitchName(p.pitch));
  for (const t of passage.trembles) {
    names.set(t.id, t.notes.map((n) => pitchName(n.pitch)).join(' '));
    for (const n of t.notes) names.set(n.id, pitchName(n.pitch));
  }
  for (const s of passage.sweeps) names.set(s.id, `${stringName(s.from)}–${stringName(s.to)}`);
  return (p) => (p.where.kind === 'music' ? p.where.ids.flatMap((id) => names.get(id) ?? []) : []);
}
