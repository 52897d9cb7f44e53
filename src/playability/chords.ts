/** What each hand strikes at once: plucks of an onset, and the strings of a tremble. */

import type { Micros, Ticks } from '../base/units';
import { type StringIndex, stringOf } from '../harp/strings';
import type { Hand } from '../music/passage';
import { type PassageIndex, stringsOf } from './passage-index';
import type { RuleInput } from './rule';

export interface HandChord {
  readonly onset: Ticks;
  readonly at: Micros;
  readonly hand: Hand;
  readonly ids: readonly string[];
  /** Different strings, from low to high. */
  readonly strings: readonly StringIndex[];
  readonly rolled: boolean;
  readonly kind: 'plucks' | 'tremble';
  /** Position among the hand's onsets; -1 for a tremble. */
  readonly place: number;
}

const known = new WeakMap<PassageIndex, readonly HandChord[]>();

/** Every chord (and single note) of each hand; found once for each passage that is judged. */
export function handChords(input: RuleInput): readonly HandChord[] {
  const found = known.get(input.index) ?? findChords(input);
  known.set(input.index, found);
  return found;
}

function findChords({ planned, index }: RuleInput): HandChord[] {
  const out: HandChord[] = [];
  for (const hand of ['R', 'L'] as const) {
    index.hands[hand].forEach((g, place) => {
      out.push({
        onset: g.onset,
        at: g.at,
        hand,
        ids: g.strikes.map((s) => s.id),
        strings: stringsOf(g.strikes),
        rolled: g.strikes.length > 1 && g.strikes.every((s) => s.rolled),
        kind: 'plucks',
        place,
      });
    });
    for (const t of planned.passage.trembles) {
      const notes = t.notes.filter((n) => n.hand === hand);
      if (notes.length === 0) continue;
      out.push({
        onset: t.onset,
        at: index.microsAt(t.onset),
        hand,
        ids: notes.map((n) => n.id),
        strings: [...new Set(notes.map((n) => stringOf(n.pitch)))].sort((a, b) => a - b),
        rolled: false,
        kind: 'tremble',
        place: -1,
      });
    }
  }
  return out;
}

export const spanOf = (strings: readonly StringIndex[]): number => (strings.at(-1) ?? 0) - (strings[0] ?? 0);
