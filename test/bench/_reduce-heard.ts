/** A reduction heard by measurement: how thickly it is struck, how much rings at once, how loud it gets. */

import type { PlannedPassage } from '../../src/harp/planned';
import { perform } from '../../src/harp/performance';
import { createVoiceBank, mix } from '../../src/sound/mix';

const SECOND = 1_000_000;
/** Seconds from the beginning that are mixed. */
const MIXED = 20;
const bank = createVoiceBank();

export interface Heard {
  /** Strokes in the fullest second. */
  readonly densest: number;
  /** Strings that ring at once at most, where each rings two seconds unless it is damped or struck again. */
  readonly ringing: number;
  /** Strings below C3 that ring at once at most: from three on a bass blurs. */
  readonly low: number;
  /** Highest sample of the first twenty seconds, as played. */
  readonly peak: number;
}

export function heard(planned: PlannedPassage): Heard {
  const notes = perform(planned);
  const ends = notes.map((n) => Math.min(n.release ?? Infinity, n.onset + 2 * SECOND));
  let [densest, ringing, low] = [0, 0, 0];
  let from = 0;
  notes.forEach((note, i) => {
    while ((notes[from]?.onset ?? 0) <= note.onset - SECOND) from++;
    densest = Math.max(densest, i - from + 1);
    let [all, deep] = [0, 0];
    for (let k = i; k >= 0 && (notes[k]?.onset ?? 0) > note.onset - 2 * SECOND; k--) {
      if ((ends[k] ?? 0) <= note.onset) continue;
      all++;
      if ((notes[k]?.midi ?? 60) < 48) deep++;
    }
    ringing = Math.max(ringing, all);
    low = Math.max(low, deep);
  });
  const beginning = notes.filter((n) => n.onset < MIXED * SECOND);
  return { densest, ringing, low, peak: mix(beginning, { bank, sympathy: false, tail: 1 }).peak };
}
