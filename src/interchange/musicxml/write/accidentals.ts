/** Which accidentals are printed: bar by bar, staff by staff, with courtesies where another octave could mislead. */

import { type Letter, type Pitch, midiOf } from '../../../music/pitch';
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

/** What a bar has sounded: inflections by letter, letters by pitch class. */
interface Heard {
  readonly alters: Map<Letter, Set<number>>;
  readonly letters: Map<number, Set<Letter>>;
}
const silent = (): Heard => ({ alters: new Map(), letters: new Map() });

const pitchClass = (pitch: Pitch): number => ((midiOf(pitch) % 12) + 12) % 12;

/** Whether the bar so far, or the bar before, makes a reader doubt what the pitch is. */
function misleads(pitch: Pitch, here: Heard, before: Heard): boolean {
  return [here, before].some(
    ({ alters, letters }) =>
      [...(alters.get(pitch.letter) ?? [])].some((alter) => alter !== pitch.alter) ||
      [...(letters.get(pitchClass(pitch)) ?? [])].some((letter) => letter !== pitch.letter),
  );
}

function remember<K, V>(map: Map<K, Set<V>>, key: K, value: V): void {
  const known = map.get(key);
  if (known === undefined) map.set(key, new Set([value]));
  else known.add(value);
}

/**
 * Accidentals by slot key; `fifths` gives the signature of a bar. A courtesy is printed where the bar or the bar
 * before has sounded the same letter, in any octave on either staff, with another inflection, or the same pitch on
 * its other string (common practice).
 */
export function printedAccidentals(
  slots: readonly AccidentalSlot[],
  fifths: (bar: number) => number,
  courtesies = true,
): Map<string, PrintedAccidental> {
  const out = new Map<string, PrintedAccidental>();
  let bar = -1;
  let inForce = new Map<string, number>();
  let heard = silent();
  let before = silent();
  for (const slot of [...slots].sort((a, b) => a.bar - b.bar || a.at - b.at)) {
    if (slot.bar !== bar) {
      before = slot.bar === bar + 1 ? heard : silent();
      bar = slot.bar;
      inForce = new Map();
      heard = silent();
    }
    const { letter, alter, octave } = slot.pitch;
    if (slot.tied) continue;
    const place = `${slot.staff} ${letter}${octave}`;
    const stands = inForce.get(place) ?? keyAlter(fifths(bar), letter);
    const value = NAMES[alter] ?? 'natural';
    if (alter !== stands) out.set(slot.key, { value, courtesy: false });
    else if (courtesies && !inForce.has(place) && misleads(slot.pitch, heard, before)) {
      out.set(slot.key, { value, courtesy: true });
    }
    inForce.set(place, alter);
    remember(heard.alters, letter, alter);
    remember(heard.letters, pitchClass(slot.pitch), letter);
  }
  return out;
}

/**
 * The signature that leaves the fewest of these pitches with an accidental; among equals the one nearest to `given`,
 * then the one with flats, which ring fullest (Berlioz, Grand traité, Harpe).
 */
export function harpFifths(pitches: readonly Pitch[], given: number): number {
  const inflected = (fifths: number): number =>
    pitches.filter((pitch) => keyAlter(fifths, pitch.letter) !== pitch.alter).length;
  const all = Array.from({ length: 15 }, (_, i) => ({ fifths: i - 7, count: inflected(i - 7) }));
  all.sort(
    (a, b) =>
      a.count - b.count || Math.abs(a.fifths - given) - Math.abs(b.fifths - given) || a.fifths - b.fifths,
  );
  return all[0]?.fifths ?? given;
}
