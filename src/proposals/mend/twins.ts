/** Notes printed once and played several times: what is changed in one is changed in all. */

import { type Ticks, ticks } from '../../base/units';
import { barAt } from '../../music/metre';
import type { Passage } from '../../music/passage';
import type { Edit } from './types';

/** Adds to edits the same edits of every repetition; the same edits where nothing is repeated. */
export type Extend = (edits: readonly Edit[]) => readonly Edit[];

/** When each pluck, sweep, tremble and note of a tremble begins. */
export const onsetsById = (passage: Passage): ReadonlyMap<string, Ticks> =>
  new Map<string, Ticks>([
    ...passage.plucks.map((p) => [p.id, p.onset] as const),
    ...passage.sweeps.map((s) => [s.id, s.onset] as const),
    ...passage.trembles.flatMap((t) =>
      [t.id, ...t.notes.map((n) => n.id)].map((id) => [id, t.onset] as const),
    ),
  ]);

const asTheyAre: Extend = (edits) => edits;

export function twinsOf(passage: Passage, printedAs: ReadonlyMap<string, string> | undefined): Extend {
  if (printedAs === undefined) return asTheyAre;
  const byPrinted = new Map<string, string[]>();
  for (const [id, printed] of printedAs) {
    const list = byPrinted.get(printed);
    if (list === undefined) byPrinted.set(printed, [id]);
    else list.push(id);
  }
  if ([...byPrinted.values()].every((ids) => ids.length < 2)) return asTheyAre;
  const onsets = onsetsById(passage);
  const twins = (id: string): readonly string[] => {
    const printed = printedAs.get(id);
    const all = printed === undefined ? undefined : byPrinted.get(printed);
    return (all ?? [id]).filter((other) => onsets.has(other));
  };
  const away = (id: string, other: string): number =>
    (onsets.get(other) as number) - (onsets.get(id) as number);
  /** How far the repetitions of a bar lie from it. */
  const offsets = (at: Ticks): number[] => {
    if (passage.bars.length === 0) return [0];
    const bar = barAt(passage.bars, at);
    const inBar = [...onsets].filter(([, t]) => t >= bar.start && t < bar.start + bar.length);
    const found = new Set([0, ...inBar.flatMap(([id]) => twins(id).map((other) => away(id, other)))]);
    return [...found].sort((a, b) => a - b);
  };
  return (edits) =>
    edits.flatMap((e): Edit[] => {
      if (e.kind === 'roll') {
        const first = e.ids[0] as string;
        return twins(first).map((_, k) => ({ ...e, ids: e.ids.map((id) => twins(id)[k] ?? id) }));
      }
      if (e.kind === 'onset') {
        return twins(e.id).map((id) => ({ ...e, id, to: ticks(e.to + away(e.id, id)) }));
      }
      if (e.kind === 'tempo') {
        return offsets(e.from).map((d) => ({ ...e, from: ticks(e.from + d), to: ticks(e.to + d) }));
      }
      if (e.kind === 'move-in' || e.kind === 'move-out') {
        return offsets(e.onset).map((d) => ({ ...e, onset: ticks(e.onset + d) }));
      }
      return e.kind === 'opening' ? [e] : twins(e.id).map((id) => ({ ...e, id }));
    });
}
