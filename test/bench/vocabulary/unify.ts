/** Runs the interpreter backwards: from struck strings to the voicing that a score of strokes would need. */

import type { CellNote } from '../../../src/figures/cells';
import type { HandChoice } from '../../../src/figures/hand-forms';
import { fold, shifted } from '../../../src/figures/play';
import type { Hand } from '../../../src/music/passage';
import type { Pitch } from '../../../src/music/pitch';
import { stringOf } from '../../../src/harp/strings';
import type { Struck } from './bars';
import type { TimedStroke } from './library';

/** What one hand plays at one onset: the notes of its strokes, and the strings struck, from low to high. */
export interface Demand {
  readonly notes: readonly CellNote[];
  readonly struck: readonly Struck[];
}

export function demandsOf(
  strokes: readonly TimedStroke[],
  struck: readonly Struck[],
  from: number,
  hand: Hand,
): Demand[] {
  const out = new Map<number, { notes: CellNote[]; struck: Struck[] }>();
  for (const { onset, stroke } of strokes)
    for (const note of stroke.notes)
      if (note.hand === hand) {
        const d = out.get(onset) ?? { notes: [], struck: [] };
        out.set(onset, d);
        d.notes.push(note);
      }
  for (const s of struck) if (s.hand === hand) out.get(s.onset - from)?.struck.push(s);
  return [...out.values()];
}

/** Whether some hand of `count` notes could play the demands, its known notes apart from shifts; null where none. */
export function knownNotes(demands: readonly Demand[], count: number): (number | null)[] | null {
  const known: (number | null)[] = Array.from({ length: count }, () => null);
  for (const { notes, struck } of demands) {
    if (notes.some((n) => n.shift !== 0)) continue;
    const wanted = new Set<number>();
    for (const { index } of notes) {
      if (index === 'all') for (let i = 0; i < count; i++) wanted.add(i);
      else wanted.add(index === 'top' ? count - 1 : fold(index - 1, count));
    }
    if (wanted.size !== struck.length) return null;
    const order = [...wanted].sort((a, b) => a - b);
    for (let k = 0; k < order.length; k++) {
      const i = order[k] as number;
      const string = (struck[k] as Struck).string;
      if (known[i] !== null && known[i] !== string) return null;
      known[i] = string;
    }
  }
  const sure = known.filter((s) => s !== null);
  return sure.every((s, i) => i === 0 || s > (sure[i - 1] as number)) ? known : null;
}

/** The pitches that a hand's notes give, as the interpreter makes them. */
export function notesOf(notes: readonly CellNote[], hand: HandChoice): Pitch[] {
  return notes.flatMap(({ index, shift }) => {
    const chosen =
      index === 'all'
        ? hand.pitches
        : index === 'top'
          ? hand.pitches.slice(-1)
          : [hand.pitches[fold(index - 1, hand.pitches.length)] as Pitch];
    return chosen.map((p) => shifted(p, shift, hand.tones));
  });
}

/** Whether a hand plays exactly what is struck. */
export function plays(demands: readonly Demand[], hand: HandChoice): boolean {
  return demands.every(({ notes, struck }) => {
    const made = new Map(notesOf(notes, hand).map((p) => [stringOf(p), p.alter as number]));
    return made.size === struck.length && struck.every((s) => made.get(s.string) === s.alter);
  });
}
