/** Settings of the seven letters in which one pitch lies on two neighbouring strings, for each chord of a progression. */

import { stringOf } from '../harp/strings';
import type { Chord } from '../harmony/types';
import { LETTERS, type Letter, type Pitch, midiOf, pitchClass } from '../music/pitch';
import { shortest } from './path';
import type { Segment } from './segments';
import { type SpelledChord, type Tone, ladder } from './spelling';

/** What each letter sounds on a chord; letters that the figure leaves alone are absent. */
export interface Tuning {
  readonly tones: readonly Tone[];
  /** Pitch classes that two neighbouring letters share. */
  readonly doubled: readonly number[];
  readonly cost: number;
}

/** Tunings kept for a chord. */
const MOST_TUNINGS = 12;
/** Degrees that a chord cannot do without; a sixth and tensions are missed a little. */
const MISSED: Readonly<Record<number, number>> = { 1: 6, 2: 8, 3: 12, 4: 8, 5: 2, 6: 6, 7: 10 };

const cache = new Map<string, readonly Tuning[]>();

/** Letters in the order of the strings never sound lower than the one before. */
function ascends(tones: readonly Tone[]): boolean {
  const heights = tones.map((t) => midiOf({ letter: t.letter, alter: t.alter, octave: 4 }));
  return heights.every((h, i) => h <= (heights[i + 1] ?? (heights[0] as number) + 12));
}

/**
 * Tunings of a chord with at least `least` pitch classes on two strings, cheapest first: chord tones and the bass
 * only, telling tones present, few letters away from the chord's own spelling. Empty where there is none.
 */
export function tuningsOf(spelled: SpelledChord, chord: Chord, least: number): readonly Tuning[] {
  const key = JSON.stringify([spelled.tones, spelled.bass, least]);
  const known = cache.get(key);
  if (known !== undefined) return known;
  const bass = chord.bass ?? chord.root;
  const degrees = new Map(chord.tones.map((t) => [t.pc, t.degree]));
  const bassPc = pitchClass(bass.letter, bass.alter);
  if (!degrees.has(bassPc)) degrees.set(bassPc, 0);
  const own = [...spelled.tones, spelled.bass];
  const found: Tuning[] = [];
  const walk = (i: number, tones: readonly Tone[]): void => {
    if (i === LETTERS.length) {
      const pcs = new Set(tones.map((t) => t.pc));
      if (!pcs.has(bassPc) || !ascends(tones)) return;
      const neighbours = tones.filter((t, k) => {
        const next = tones[(k + 1) % tones.length] as Tone;
        const apart = (LETTERS.indexOf(next.letter) - LETTERS.indexOf(t.letter) + 7) % 7;
        return apart === 1 && next.pc === t.pc;
      });
      const doubled = [...new Set(neighbours.map((t) => t.pc))];
      if (doubled.length < least) return;
      let cost = 0;
      for (const [pc, degree] of degrees) if (!pcs.has(pc)) cost += MISSED[degree] ?? 4;
      for (const t of tones) {
        const mine = own.find((o) => o.letter === t.letter);
        if (mine === undefined) cost += 1;
        else if (mine.alter !== t.alter) cost += 2;
      }
      found.push({ tones, doubled, cost });
      return;
    }
    const letter = LETTERS[i] as Letter;
    walk(i + 1, tones);
    for (const alter of [-1, 0, 1] as const) {
      const pc = pitchClass(letter, alter);
      const degree = degrees.get(pc);
      if (degree !== undefined) walk(i + 1, [...tones, { letter, alter, pc, degree }]);
    }
  };
  walk(0, []);
  const best = found.sort((a, b) => a.cost - b.cost).slice(0, MOST_TUNINGS);
  if (cache.size > 500) cache.clear();
  cache.set(key, best);
  return best;
}

/** Letters that change their inflection between two tunings. */
export const lettersMoved = (a: Tuning, b: Tuning): number =>
  a.tones.filter((t) => b.tones.some((o) => o.letter === t.letter && o.alter !== t.alter)).length;

/** Two strings of one pitch, the lower string first. */
export type Pair = readonly [Pitch, Pitch];

/** The pairs of a tuning between two strings. */
export function pairsOf(tuning: Tuning, low: number, high: number): Pair[] {
  const rungs = [...ladder(tuning.tones, low, high)].sort((a, b) => stringOf(a) - stringOf(b));
  return rungs.flatMap((p, i): Pair[] => {
    const next = rungs[i + 1];
    return next !== undefined && stringOf(next) === stringOf(p) + 1 && midiOf(next) === midiOf(p)
      ? [[p, next]]
      : [];
  });
}

/** A chord spelt by a tuning, each pitch class once: the bass and the chord's own letters first. */
export function spelledBy(tuning: Tuning, spelled: SpelledChord): SpelledChord {
  const own = [spelled.bass, ...spelled.tones];
  const rank = (t: Tone): number => (own.some((o) => o.letter === t.letter && o.alter === t.alter) ? 0 : 1);
  const once = [...tuning.tones].sort((a, b) => rank(a) - rank(b));
  const tone = (pc: number): Tone | undefined => once.find((t) => t.pc === pc);
  const tones = spelled.tones.flatMap((t) => tone(t.pc) ?? []);
  const more = once.filter(
    (t, i) => once.findIndex((o) => o.pc === t.pc) === i && !tones.some((o) => o.pc === t.pc),
  );
  const all = [...tones, ...more];
  const root = spelled.root;
  return {
    bass: tone(spelled.bass.pc) ?? spelled.bass,
    root: root === null ? null : (tone(root.pc) ?? null),
    tones: all.length > 0 ? all : spelled.tones,
    dropped: spelled.dropped,
  };
}

/** What a chord plays: its tuning and, from low to high, the strings of its figure. */
export interface Doubling {
  readonly tuning: Tuning;
  readonly strings: readonly Pitch[];
}

/**
 * One tuning and row of strings a chord: few pedals between neighbours, a row that moves little about `aim` (a string
 * index). `rows` gives the rows of a tuning. A chord for which no tuning has a row gets its own spelling and a row of that.
 */
export function doublings(
  segments: readonly Segment[],
  least: number,
  aim: number,
  rows: (tuning: Tuning, segment: Segment) => readonly (readonly Pitch[])[],
): Doubling[] | null {
  const layers = segments.map((s): Doubling[] => {
    const plain: Tuning = { tones: plainTones(s.spelled), doubled: [], cost: 0 };
    const make = (tunings: readonly Tuning[]): Doubling[] =>
      tunings.flatMap((tuning) => rows(tuning, s).map((strings) => ({ tuning, strings })));
    for (let n = least; n > 0; n--) {
      const found = make(tuningsOf(s.spelled, s.chord, n));
      if (found.length > 0) return found.slice(0, 2 * MOST_TUNINGS);
    }
    return make([plain]);
  });
  if (layers.some((l) => l.length === 0)) return null;
  const low = (d: Doubling): Pitch => d.strings[0] as Pitch;
  return shortest(
    layers,
    (d) => d.tuning.cost + (Math.abs(stringOf(low(d)) - aim) >> 1),
    (a, b) => 4 * lettersMoved(a.tuning, b.tuning) + Math.abs(midiOf(low(a)) - midiOf(low(b))),
  );
}

const plainTones = (spelled: SpelledChord): Tone[] =>
  [...spelled.tones, spelled.bass].filter((t, i, all) => all.findIndex((o) => o.letter === t.letter) === i);
