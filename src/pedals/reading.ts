/** What a chord's spelling costs the reader and the hand: the price of one stop, whatever the pedals did before. */

import { diatonicIndex, letterIndex, midiOf, type Pitch } from '../music/pitch';
import type { Hand } from '../music/passage';
import type { Rates } from './rates';

/** Notes at one pitch and string, as spelt. */
export interface SpeltGroup {
  readonly pitch: Pitch;
  /** Plucks of the group that were asked in another spelling. */
  readonly respelt: number;
  readonly plucks: number;
  /** Strings asked for by each hand that plays in the group, as a note of the staff. */
  readonly hands: readonly { readonly hand: Hand; readonly asked: number }[];
}

/** Points by term. */
export interface SpellingPrice {
  readonly respelt: number;
  readonly sharps: number;
  readonly reading: number;
  readonly shape: number;
}

const BLACK = new Set([1, 3, 6, 8, 10]);
export const pitchClass = (midi: number): number => ((midi % 12) + 12) % 12;

/** Strings of an octave. */
const OCTAVE = 7;

/** A third that sounds but is not written: C and D♯. */
function hiddenThird(a: Pitch, b: Pitch): boolean {
  const up = pitchClass(midiOf(b) - midiOf(a));
  const letters = (letterIndex(b.letter) - letterIndex(a.letter) + 7) % 7;
  if (up === 3 || up === 4) return letters !== 2;
  return (up === 8 || up === 9) && letters !== 5;
}

/** The price of a chord; the order of the groups does not matter. */
export function spellingPrice(groups: readonly SpeltGroup[], rates: Rates): SpellingPrice {
  let [respelt, sharps, reading, shape] = [0, 0, 0, 0];
  let [flat, sharp] = [false, false];
  const sorted = [...groups].sort(
    (a, b) => midiOf(a.pitch) - midiOf(b.pitch) || diatonicIndex(a.pitch) - diatonicIndex(b.pitch),
  );
  const classes = new Map<string, Pitch>();
  sorted.forEach((group, i) => {
    const { pitch } = group;
    respelt += rates.respelt * group.respelt;
    if (pitch.alter === 1 && BLACK.has(pitchClass(midiOf(pitch)))) sharps += rates.sharps * group.plucks;
    if (pitch.alter < 0) flat = true;
    if (pitch.alter > 0) sharp = true;
    const below = sorted[i - 1];
    if (
      below !== undefined &&
      midiOf(below.pitch) < midiOf(pitch) &&
      diatonicIndex(below.pitch) >= diatonicIndex(pitch)
    )
      reading += rates.order;
    classes.set(`${pitch.letter}${pitch.alter}`, pitch);
  });
  const distinct = [...classes.values()];
  for (let i = 0; i < distinct.length; i++)
    for (let j = i + 1; j < distinct.length; j++)
      if (hiddenThird(distinct[i] as Pitch, distinct[j] as Pitch)) reading += rates.third;
  if (flat && sharp) reading += rates.mixed;
  for (const hand of ['R', 'L'] as const) {
    let [low, high, from, to] = [Infinity, -Infinity, Infinity, -Infinity];
    for (const { pitch, hands } of sorted) {
      for (const h of hands) {
        if (h.hand !== hand) continue;
        const at = diatonicIndex(pitch);
        [low, high] = [Math.min(low, at), Math.max(high, at)];
        [from, to] = [Math.min(from, h.asked), Math.max(to, h.asked)];
      }
    }
    if (high - low > OCTAVE) shape += rates.shape * Math.max(0, high - low - Math.max(OCTAVE, to - from));
  }
  return { respelt, sharps, reading, shape };
}

/** Letters by pitch class, as bits: what a stop is spelt in. */
export function lettersOf(pitches: readonly Pitch[]): ReadonlyMap<number, number> {
  const out = new Map<number, number>();
  for (const p of pitches) {
    const pc = pitchClass(midiOf(p));
    out.set(pc, (out.get(pc) ?? 0) | (1 << letterIndex(p.letter)));
  }
  return out;
}

/** Points for pitch classes struck at two onsets running, in a letter at the second that was not at the first. */
export function flipPrice(
  before: ReadonlyMap<number, number>,
  after: ReadonlyMap<number, number>,
  flip: number,
): number {
  let points = 0;
  for (const [pc, letters] of after) {
    const prior = before.get(pc);
    if (prior !== undefined && (letters & ~prior) !== 0) points += flip;
  }
  return points;
}
