/** One key struck in two voices at one instant is one string: the longer note stands for both. */

import type { Passage, Pluck } from '../music/passage';
import { midiOf } from '../music/pitch';

export function mergeUnisons(passage: Passage): Passage {
  const first = new Map<string, Pluck>();
  for (const p of passage.plucks) {
    const key = `${p.onset} ${midiOf(p.pitch)}`;
    const other = first.get(key);
    if (other === undefined || p.duration > other.duration) first.set(key, p);
  }
  if (first.size === passage.plucks.length) return passage;
  const stays = new Set([...first.values()].map((p) => p.id));
  return { ...passage, plucks: passage.plucks.filter((p) => stays.has(p.id)) };
}
