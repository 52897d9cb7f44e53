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
      return has(1) ? [10, 8, 9, 3] : [2, 10, 9, 5];
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

/** Pitch classes of the tensions that a chord bears, the least colouring first; none of them is a tone of the chord. */
export function tensionsOf(chord: Chord): number[] {
  const root = pitchClass(chord.root.letter, chord.root.alter);
  const above = new Set(chordPitchClasses(chord).map((pc) => (pc - root + 12) % 12));
  return tensions(chord, (n) => above.has(n))
    .filter((n) => !above.has(n))
    .map((n) => (n + root) % 12);
}

/**
 * Sets of pitch classes (ascending, 0–11) that suit a glissando on a chord, best first. The chord's own tones come
 * first where the harp can set them alone (never three notes: four is the fewest); then the chord with as few
 * tensions as can be set, no avoid notes. The slash bass is left to the bass. A chord that cannot be set whole,
 * with whatever tensions (13♯5♭9, …), gives up a tone. Empty only if nothing at all fits: no symbol of the
 * grammar's list.
 */
export function glissSets(chord: Chord): (readonly number[])[] {
  const root = pitchClass(chord.root.letter, chord.root.alter);
  const own = chordPitchClasses(chord);
  const above = new Set(own.map((pc) => (pc - root + 12) % 12));
  const has = (n: number): boolean => above.has(n);
  // A chord from which third or fifth was left out takes it back before it stays silent.
  const back: number[] = [];
  if (!chord.tones.some((t) => t.degree >= 2 && t.degree <= 4) && chord.quality !== 'suspended')
    back.push(chord.quality === 'minor' ? 3 : 4);
  if (!has(6) && !has(7) && !has(8)) back.push(7);
  const extra = [...tensions(chord, has), ...back].filter((n) => !has(n));
  for (const tones of partsOf(chord, own)) {
    const found: { pcs: number[]; added: number; colour: number }[] = [];
    for (let choice = 0; choice < 1 << extra.length; choice++) {
      const chosen = extra.filter((_, i) => (choice >> i) & 1);
      const all = [...tones, ...chosen.map((n) => (n + root) % 12)];
      const pcs = [...new Set(all)].sort((a, b) => a - b);
      if (isSettable(pcs)) found.push({ pcs, added: chosen.length, colour: choice });
    }
    if (found.length > 0)
      return found.sort((a, b) => a.added - b.added || a.colour - b.colour).map((f) => f.pcs);
  }
  return [];
}

/** The chord whole, then its parts: root, third and seventh are given up last, then the degrees named highest. */
function* partsOf(chord: Chord, own: readonly number[]): Generator<readonly number[]> {
  yield own;
  const worth = new Map<number, number>();
  for (const { degree, pc } of chord.tones) {
    const value =
      degree === 1 ? 100 : degree === 3 || degree === 4 ? 80 : degree === 7 ? 60 : degree === 5 ? 8 : degree;
    worth.set(pc, Math.max(value, worth.get(pc) ?? 0));
  }
  const total = (pcs: readonly number[]): number => pcs.reduce((n, pc) => n + (worth.get(pc) ?? 0), 0);
  const parts = Array.from({ length: (1 << own.length) - 1 }, (_, choice) =>
    own.filter((_pc, i) => (choice >> i) & 1),
  );
  yield* parts.sort((a, b) => total(b) - total(a));
}
