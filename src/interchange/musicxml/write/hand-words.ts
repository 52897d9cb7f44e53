/** 'm.d.' and 'm.g.': which hand plays where the staff does not show it. */

import { type Bar, barAt } from '../../../music/metre';
import type { Hand } from '../../../music/passage';
import { type Mark, directionMark } from './marks';
import type { Staff } from './staves';
import type { VoicedEvent } from './voices';
import { text } from './xml';

const WORDS: Readonly<Record<Hand, string>> = { R: 'm.d.', L: 'm.g.' };

/** A word where a hand comes to the other's staff: at the first note, and again after a bar on its own staff. */
export function handMarks(
  events: readonly VoicedEvent[],
  bars: readonly Bar[],
  staffOf: (event: VoicedEvent) => Staff,
): Mark[] {
  const out: Mark[] = [];
  for (const hand of ['R', 'L'] as const) {
    const home: Staff = hand === 'R' ? 1 : 2;
    /** The bar in which the hand was last seen away. */
    let away = -2;
    for (const event of [...events].sort((a, b) => a.onset - b.onset)) {
      if (event.hand !== hand || event.kind === 'tremble' || staffOf(event) === home) continue;
      const bar = barAt(bars, event.onset).index;
      if (bar > away + 1) {
        out.push(
          directionMark(event.onset, 8, {
            // Clear of a glissando's line, which leaves for the hand's own staff.
            placement: (hand === 'R') === (event.kind !== 'sweep') ? 'above' : 'below',
            staff: staffOf(event),
            types: [text('words', WORDS[hand], { 'font-style': 'italic' })],
          }),
        );
      }
      away = bar;
    }
  }
  return out;
}
