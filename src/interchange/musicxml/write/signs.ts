/** Signatures and accidentals of a part that is laid out, and the small notes after its notes. */

import type { Bar } from '../../../music/metre';
import type { Pitch } from '../../../music/pitch';
import type { PlannedPassage } from '../../../harp/planned';
import { type AccidentalSlot, type PrintedAccidental, harpFifths, printedAccidentals } from './accidentals';
import type { LaidBar, LaidNote } from './laid';
import type { VoicedEvent } from './voices';

export const headKey = (bar: number, voice: number, note: number, head: number | `g${number}`): string =>
  `${bar} ${voice} ${note} ${head}`;

/** Signatures by bar: the passage's own, or one of the harp's for the whole part. */
export function signatures(
  planned: PlannedPassage,
  bars: readonly Bar[],
  events: readonly VoicedEvent[],
  own: boolean,
): (bar: number) => number {
  const { fifths, keys = [] } = planned.passage;
  if (own) {
    const one = harpFifths(
      events.flatMap((event) => event.heads.map((head) => head.pitch)),
      fifths,
    );
    return () => one;
  }
  const ordered = [...keys].sort((a, b) => a.onset - b.onset);
  const each = bars.map((bar) => ordered.findLast((key) => key.onset <= bar.start)?.fifths ?? fifths);
  return (bar) => each[bar] ?? fifths;
}

export function accidentalsOf(
  bars: readonly LaidBar[],
  fifths: (bar: number) => number,
  courtesies: boolean,
): Map<string, PrintedAccidental> {
  const slots: AccidentalSlot[] = [];
  bars.forEach(({ voices }, bar) => {
    for (const { voice, notes } of voices) {
      notes.forEach((note, i) => {
        const { event } = note;
        if (event === null) return;
        const { staff } = note;
        event.heads.forEach((head, h) =>
          slots.push({
            key: headKey(bar, voice, i, h),
            bar,
            at: note.start,
            staff,
            pitch: head.pitch,
            tied: note.tiedFrom,
          }),
        );
        smallNotes(note).forEach(({ pitch }, k) =>
          slots.push({
            key: headKey(bar, voice, i, `g${k}`),
            bar,
            at: note.end - 0.5 + 0.01 * k,
            staff,
            pitch,
            tied: false,
          }),
        );
      });
    }
  });
  return printedAccidentals(slots, fifths, courtesies);
}

/** Small notes after a note: the end of a sweep, and what pedal slides come to. */
export function smallNotes(note: LaidNote): { id: string; pitch: Pitch; kind: 'goal' | 'slide' }[] {
  const { event } = note;
  if (event === null || note.tiedTo) return [];
  return [
    ...(event.goal === null ? [] : [{ ...event.goal, kind: 'goal' as const }]),
    ...event.slides.map(({ id, to }) => ({ id, pitch: to, kind: 'slide' as const })),
  ];
}
