/** When strings fall silent: damp marks, found quickly. */

import type { Passage } from '../music/passage';
import { type PassageIndex, type Strike, firstIndex } from './passage-index';

export interface DampMark {
  readonly at: number;
  /** Strings below this one are silenced. */
  readonly below: number;
}

/** Damp marks in order of time. */
export function dampsOf(passage: Passage, index: PassageIndex): DampMark[] {
  return passage.damps
    .map((d) => ({ at: index.microsAt(d.onset), below: d.below ?? Infinity }))
    .sort((a, b) => a.at - b.at);
}

/** Whether a mark silences a strike after it was struck, and by a given time. */
export function damped(damps: readonly DampMark[], strike: Strike, until: number): boolean {
  const first = firstIndex(damps.length, (i) => (damps[i] as DampMark).at > strike.at);
  for (let i = first; i < damps.length && (damps[i] as DampMark).at <= until; i++) {
    if (strike.string < (damps[i] as DampMark).below) return true;
  }
  return false;
}
