/** Pedal slides: a line from a note to a small note on the same string with another inflection. */

import { type Ticks, ticks } from '../../../base/units';
import type { Slide } from '../../../music/passage';
import { diatonicIndex } from '../../../music/pitch';
import type { Played, Struck } from './play';

/**
 * Slides and the small notes that end them. A slide happens at the pedal change of its letter that is marked while
 * the string rings, before it is struck again; where none is marked, at the end of the written note.
 */
export function findSlides(played: Played): { slides: Slide[]; goals: ReadonlySet<Struck> } {
  const slides: Slide[] = [];
  const goals = new Set<Struck>();
  const open = new Map<string, Struck>();
  const moves = new Map<string, Ticks[]>();
  for (const { onset, mark } of played.marks) {
    if (mark.kind !== 'move') continue;
    const key = `${mark.word.letter}${mark.word.to}`;
    const list = moves.get(key) ?? [];
    list.push(onset);
    moves.set(key, list);
  }
  const strikes = new Map<number, number[]>();
  for (const { raw, onset } of played.notes) {
    if (raw.grace) continue;
    const string = diatonicIndex(raw.pitch);
    const list = strikes.get(string) ?? [];
    list.push(onset);
    strikes.set(string, list);
  }
  for (const list of strikes.values()) list.sort((a, b) => a - b);
  for (const note of played.notes) {
    const key = (number: string) => `${note.raw.voice} ${number}`;
    for (const line of note.lines) {
      const from = line.type === 'stop' ? open.get(key(line.number)) : undefined;
      if (
        from === undefined ||
        !note.raw.grace ||
        diatonicIndex(from.raw.pitch) !== diatonicIndex(note.raw.pitch)
      ) {
        continue;
      }
      open.delete(key(line.number));
      const { letter, alter } = note.raw.pitch;
      const next =
        (strikes.get(diatonicIndex(note.raw.pitch)) ?? []).find((at) => at > from.onset) ?? Infinity;
      const marked = moves
        .get(`${letter}${alter}`)
        ?.find((at) => at > from.onset && (at <= note.written || at < next));
      slides.push({ id: note.id, pluck: from.id, onset: marked ?? ticks(note.written), to: note.raw.pitch });
      goals.add(note);
    }
    for (const line of note.lines) if (line.type === 'start') open.set(key(line.number), note);
  }
  slides.sort((a, b) => a.onset - b.onset);
  return { slides, goals };
}
