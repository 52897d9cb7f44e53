/** Which accidentals are printed: bar by bar, staff by staff, with courtesies where another octave could mislead. */

import { type Letter, type Pitch } from '../../../music/pitch';
import type { Staff } from './staves';

/** A notehead that may need an accidental. */
export interface AccidentalSlot {
  readonly key: string;
  readonly bar: number;
  /** Ticks; small notes sort before the note that they precede. */
  readonly at: number;
  readonly staff: Staff;
  readonly pitch: Pitch;
  /** The continuation of a tie: it shows none and changes nothing. */
  readonly tied: boolean;
}

export interface PrintedAccidental {
  readonly value: string;
  readonly courtesy: boolean;
}

const NAMES: Readonly<Record<string, string>> = {
  '-2': 'flat-flat',
  '-1': 'flat',
  '0': 'natural',
  '1': 'sharp',
  '2': 'double-sharp',
};
const SHARPS: readonly Letter[] = ['F', 'C', 'G', 'D', 'A', 'E', 'B'];

/** The inflection that a key signature gives a letter. */
export function keyAlter(fifths: number, letter: Letter): number {
  const place = SHARPS.indexOf(letter);
  if (fifths > 0) return place < fifths ? 1 : 0;
  return 6 - place < -fifths ? -1 : 0;
}

/**
 * Accidentals by slot key. A courtesy is printed where the bar or the bar before has sounded the same letter,
 * in any octave on either staff, with another inflection (common practice).
 */
export function printedAccidentals(
  slots: readonly AccidentalSlot[],
  fifths: number,
): Map<string, PrintedAccidental> {
  const out = new Map<string, PrintedAccidental>();
  let bar = -1;
  let inForce = new Map<string, number>();
  let heard = new Map<Letter, Set<number>>();
  let before = new Map<Letter, Set<number>>();
  for (const slot of [...slots].sort((a, b) => a.bar - b.bar || a.at - b.at)) {
    if (slot.bar !== bar) {
      before = slot.bar === bar + 1 ? heard : new Map();
      bar = slot.bar;
      inForce = new Map();
      heard = new Map();
    }
    const { letter, alter, octave } = slot.pitch;
    const sounded = heard.get(letter) ?? new Set<number>();
    heard.set(letter, sounded);
    if (slot.tied) continue;
    const place = `${slot.staff} ${letter}${octave}`;
    const stands = inForce.get(place) ?? keyAlter(fifths, letter);
    const other = (set: ReadonlySet<number> | undefined) => [...(set ?? [])].some((a) => a !== alter);
    const value = NAMES[alter] ?? 'natural';
    if (alter !== stands) out.set(slot.key, { value, courtesy: false });
    else if (!inForce.has(place) && (other(sounded) || other(before.get(letter)))) {
      out.set(slot.key, { value, courtesy: true });
    }
    inForce.set(place, alter);
    sounded.add(alter);
  }
  return out;
}
