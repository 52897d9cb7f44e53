/** What would make a refused passage playable: each way out has been planned again and works. */

import type { Passage } from '../music/passage';
import { itemsOf, restrict } from './items';
import { frameOf } from './frame';
import { playable } from './playable';
import type { PlanOptions, WayOut } from './types';

/** Shares of the tempo that are tried, in percent. */
const SLOWER = [90, 80, 70, 60, 50, 33];

/**
 * Ways out of a minimal conflict: one note of it left out (every such note that is enough by itself), a slower
 * tempo, emergency moves, pedals that need not settle. Where none of these is enough for the whole passage, notes are left out one conflict after
 * another; `conflictOf` finds the next. The list is never empty.
 */
export function waysOut(
  passage: Passage,
  options: PlanOptions,
  conflict: readonly string[],
  conflictOf: (rest: Passage) => readonly string[],
): WayOut[] {
  const works = (p: Passage, o: PlanOptions): boolean => playable(p, frameOf(p, o));
  const all = itemsOf(passage).map((i) => i.id);
  const without = (ids: readonly string[]): Passage =>
    restrict(passage, new Set(all.filter((id) => !ids.includes(id))));
  const out: WayOut[] = conflict
    .filter((id) => works(without([id]), options))
    .map((id) => ({ kind: 'leave-out', ids: [id] }));
  const changes = passage.tempo.length === 0 ? [{ onset: 0, milliBpm: 90_000 }] : passage.tempo;
  for (const percent of SLOWER) {
    const tempo = changes.map((t) => ({ ...t, milliBpm: Math.floor((t.milliBpm * percent) / 100) }));
    if (!works({ ...passage, tempo: tempo as unknown as Passage['tempo'] }, options)) continue;
    out.push({ kind: 'slower', percent });
    break;
  }
  if (options.emergencies !== true && works(passage, { ...options, emergencies: true }))
    out.push({ kind: 'emergencies' });
  if (options.mustSettle === true && works(passage, { ...options, mustSettle: false }))
    out.push({ kind: 'unsettled' });
  if (out.length > 0) return out;
  const left: string[] = [];
  for (let rest = passage; !works(rest, options); rest = without(left)) {
    const next = conflictOf(rest)[0] ?? itemsOf(rest)[0]?.id;
    if (next === undefined) break;
    left.push(next);
  }
  return left.length === 0 ? [] : [{ kind: 'leave-out', ids: left }];
}
