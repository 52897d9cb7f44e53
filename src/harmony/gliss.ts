/** What may sound in a glissando on a chord: its own tones where the harp can set them, else with tensions. */

import { LETTERS, letterSemitones, pitchClass } from '../music/pitch';
import { chordPitchClasses } from './chord';
import type { Chord } from './types';

const bit = (pc: number): number => 1 << (((pc % 12) + 12) % 12);

/** Every set of pitch classes that seven letters, each flat, natural or sharp, can sound: 977 of them. */
const SETTABLE: ReadonlySet<number> = LETTERS.reduce<Set<number>>(
  (sets, letter) => {
    const next = new Set<number>();
    for (const mask of sets)
      for (const alter of [-1, 0, 1]) next.add(mask | bit(letterSemitones(letter) + alter));
    return next;
  },
  new Set([0]),
);

/** Whether seven letters can sound exactly these pitch classes, all of them and no other. */
export const isSettable = (pcs: Iterable<number>): boolean => {
  let mask = 0;
  for (const pc of pcs) mask |= bit(pc);
  return SETTABLE.has(mask);
};

/** How many sets of pitch classes can be set (977: Gotham & Gunn, MTO 22.4, repeat by enumeration). */
export const settableCount = (): number => SETTABLE.size;

/**
 * Tensions that a chord bears without an avoid note, in semitones above its root, the least colouring first:
 * ninths and thirteenths before elevenths (chord-scale practice).
 */
function tensions(chord: Chord, has: (above: number) => boolean): readonly number[] {
  switch (chord.quality) {
    case 'major':
      return has(6) ? [9, 2, 11] : [9, 2, 11, 6];
    case 'augmented':
      return has(11) ? [2, 6, 9] : [2, 6, 10];
    case 'minor':
      return has(11) ? [2, 5, 9] : has(8) ? [10, 2, 5] : [10, 2, 5, 9];
    case 'half-diminished':
      return [5, 8, 2];
    case 'diminished':
      // A whole step above each tone.
      return has(11) ? [2, 5, 8] : [9, 2, 5, 8, 11];
    case 'suspended':
      return has(1) ? [10, 5, 8] : [2, 10, 9, 5];
    case 'power':
      return [2, 9, 10, 5];
    case 'dominant': {
      const altered = has(1) || (has(3) && has(4));
      if (has(8) && !has(7)) return altered ? [1, 3, 6] : [2, 6];
      if (altered) return has(9) ? [1, 3, 6] : [1, 3, 6, 9, 8];
      return has(8) ? [2, 6] : [2, 9, 6];
    }
  }
}

/**
 * Sets of pitch classes (ascending, 0–11) that suit a glissando on a chord, best first; never empty. The chord's
 * own tones come first where the harp can set them alone (never three notes: four is the fewest); then the chord
 * with as few tensions as can be set, no avoid notes. The slash bass is left to the bass. Where nothing fits with
 * all tones (7♭9♯9♯11 …) subsets of the chord are answered, the root and third among them where possible.
 */
export function glissSets(chord: Chord): (readonly number[])[] {
  const root = pitchClass(chord.root.letter, chord.root.alter);
  const own = chordPitchClasses(chord);
  const above = new Set(own.map((pc) => (pc - root + 12) % 12));
  // A chord from which the third was left out takes it back before it stays silent.
  const third = chord.quality === 'minor' ? 3 : 4;
  const bare = !chord.tones.some((t) => t.degree >= 2 && t.degree <= 4) && chord.quality !== 'suspended';
  const extra = [...tensions(chord, (n) => above.has(n)), ...(bare ? [third] : [])].filter(
    (n) => !above.has(n),
  );
  const found: { pcs: number[]; added: number; colour: number }[] = [];
  for (let choice = 0; choice < 1 << extra.length; choice++) {
    const chosen = extra.filter((_, i) => (choice >> i) & 1);
    const pcs = [...new Set([...own, ...chosen.map((n) => (n + root) % 12)])].sort((a, b) => a - b);
    if (isSettable(pcs)) found.push({ pcs, added: chosen.length, colour: choice });
  }
  if (found.length === 0) return withoutTones(chord, own);
  return found.sort((a, b) => a.added - b.added || a.colour - b.colour).map((f) => f.pcs);
}

/** The largest settable parts of a chord that cannot be set whole, root and third kept first. */
function withoutTones(chord: Chord, own: readonly number[]): (readonly number[])[] {
  const rank = new Map<number, number>();
  // What is missed least has the lowest rank: the fifth, then the highest degrees.
  for (const t of chord.tones) {
    const value =
      t.degree === 1
        ? 100
        : t.degree === 3 || t.degree === 4
          ? 80
          : t.degree === 7
            ? 60
            : t.degree === 5
              ? 5
              : 40 - t.degree;
    rank.set(t.pc, Math.max(value, rank.get(t.pc) ?? 0));
  }
  const found: { pcs: number[]; worth: number }[] = [];
  for (let choice = 1; choice < 1 << own.length; choice++) {
    const pcs = own.filter((_, i) => (choice >> i) & 1);
    if (isSettable(pcs)) found.push({ pcs, worth: pcs.reduce((n, pc) => n + (rank.get(pc) ?? 0), 0) });
  }
  return found.sort((a, b) => b.worth - a.worth).map((f) => f.pcs);
}
