/** Many sharps become flats, key by key: open strings ring fullest. */

import type { Instrument } from '../harp/instrument';
import { signature } from '../harmony/key';
import type { Passage } from '../music/passage';
import { inHarpKey } from '../pedals/options';
import { stopsOf } from './quick-plan';
import { clockOf } from './reduce-clock';
import { FREE_PEDALS, pedalBar, pedalHistory } from './reduce-pedals';
import { tuningFor } from './reduce-ways';

/** From this many sharps the harp reads in flats: B, F♯ and C♯ as C♭, G♭ and D♭ (Berlioz, Prout). */
const MANY_SHARPS = 5;
/** The same key with flats for sharps. */
const AROUND = 12;

/** Whether any key of the part has many sharps. */
export const hasManySharps = (passage: Passage): boolean =>
  passage.fifths >= MANY_SHARPS || (passage.keys ?? []).some((k) => k.fifths >= MANY_SHARPS);

const flats = (fifths: number): number => (fifths >= MANY_SHARPS ? fifths - AROUND : fifths);

/** The part with every stretch in a key of many sharps written in flats; other keys stay as they are. */
export function inFlatKeys(passage: Passage): Passage {
  const keys = passage.keys ?? [];
  const starts = [{ onset: 0, fifths: passage.fifths }, ...keys];
  const spelt = starts.map(({ fifths }) =>
    fifths >= MANY_SHARPS ? inHarpKey({ ...passage, fifths }, fifths - AROUND) : passage,
  );
  const own = (at: number): Passage => spelt[starts.findLastIndex((k) => k.onset <= at)] as Passage;
  return {
    ...passage,
    fifths: flats(passage.fifths),
    keys: keys.map((k) => ({ ...k, fifths: flats(k.fifths) })),
    plucks: passage.plucks.map((p, i) => own(p.onset).plucks[i] ?? p),
    trembles: passage.trembles.map((t, i) => own(t.onset).trembles[i] ?? t),
  };
}

/** What a note that cannot be had costs, and a move, against one accidental. */
const COST = { lost: 200, move: 36 } as const;

/** What a part costs in its keys as they stand: pedal moves, and notes that need an accidental. */
function readingCost(passage: Passage, instrument: Instrument): number {
  const keys = passage.keys ?? [];
  const stops = stopsOf(passage, false, COST.lost);
  const tuning = tuningFor(passage, instrument);
  const courses = pedalBar([FREE_PEDALS], stops, clockOf(passage), instrument, tuning, 3);
  const { moves, spelt, dropped } = pedalHistory(courses.reduce((a, b) => (b.cost < a.cost ? b : a)));
  const outside = passage.plucks.filter((p) => {
    const pitch = spelt.get(p.id);
    const fifths = keys.findLast((k) => k.onset <= p.onset)?.fifths ?? passage.fifths;
    return pitch !== undefined && signature(fifths)[pitch.letter] !== pitch.alter;
  });
  return COST.lost * dropped.length + COST.move * moves.length + outside.length;
}

/**
 * Whether the part reads better in flats: where a stretch has many sharps, and flats cost no more in pedals and
 * accidentals together. A piece that leaves its key for good is not written in seven flats all the same.
 */
export const isBetterInFlats = (passage: Passage, instrument: Instrument): boolean =>
  hasManySharps(passage) && readingCost(inFlatKeys(passage), instrument) <= readingCost(passage, instrument);
