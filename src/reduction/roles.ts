/** What each note is to the listener, and what its loss costs. */

import { TICKS_PER_QUARTER } from '../base/units';
import type { HarmonyMark, Passage } from '../music/passage';
import { chordOf, namingClasses } from './harmony';
import { byOnset, outerLines, voicesOf } from './lines';
import type { Role } from './types';

/**
 * Points that a note's loss costs (own scale): the top line before the bass, the bass before what names the chord,
 * that before the rest, doublings last: what the ear would miss most changes last (common practice).
 */
export const WORTH = {
  top: 1000,
  bass: 700,
  /** Highest struck while something higher is held; lowest likewise. */
  high: 260,
  low: 160,
  naming: 150,
  chordal: 60,
  other: 55,
  /** A pitch class struck again at the same instant: all but one. */
  doubled: 12,
  /** For each quarter that an undoubled note is held, up to two. */
  held: 30,
} as const;

const pcOf = (midi: number): number => ((midi % 12) + 12) % 12;

/** The chord that stands at a tick, as pitch classes; empty where none is known. */
export function chordLookup(chords: readonly HarmonyMark[]): (at: number) => {
  readonly tones: readonly number[];
  readonly naming: readonly number[];
} {
  const read = chords.map((mark) => ({
    onset: mark.onset as number,
    tones: [...new Set(chordOf(mark)?.tones.map((t) => t.pc) ?? [])],
    naming: namingClasses(mark),
  }));
  const none = { tones: [], naming: [] };
  return (at) => {
    let low = 0;
    let high = read.length;
    while (low < high) {
      const mid = (low + high) >> 1;
      if ((read[mid] as { onset: number }).onset <= at) low = mid + 1;
      else high = mid;
    }
    return read[low - 1] ?? none;
  };
}

/** The role of every pluck and tremble note, by id. */
export function rolesOf(passage: Passage, chords: readonly HarmonyMark[]): Map<string, Role> {
  const voices = voicesOf(passage);
  const lines = outerLines(voices);
  const tops = new Set(lines.top.map((v) => v.id));
  const basses = new Set(lines.bass.map((v) => v.id));
  const chordAt = chordLookup(chords);
  const out = new Map<string, Role>();
  for (const group of byOnset(voices)) {
    const counts = new Map<number, number>();
    // Of a doubled pitch class one stands for all: a note of the outer lines, else the highest.
    const stands = new Map<number, string>();
    for (const v of group) {
      const pc = pcOf(v.midi);
      counts.set(pc, (counts.get(pc) ?? 0) + 1);
      const known = stands.get(pc) ?? '';
      if (!tops.has(known) && !basses.has(known)) stands.set(pc, v.id);
    }
    group.forEach((v, i) => {
      const pc = pcOf(v.midi);
      const chord = chordAt(v.onset);
      const top = tops.has(v.id);
      const bass = basses.has(v.id);
      const naming = chord.naming.includes(pc);
      const chordal = chord.tones.includes(pc);
      const doubled = (counts.get(pc) ?? 0) > 1;
      const inner =
        doubled && stands.get(pc) !== v.id
          ? WORTH.doubled
          : (naming ? WORTH.naming : chordal ? WORTH.chordal : WORTH.other) +
            Math.floor((Math.min(v.end - v.onset, 2 * TICKS_PER_QUARTER) * WORTH.held) / TICKS_PER_QUARTER);
      const worth =
        inner +
        (top ? WORTH.top : i === group.length - 1 ? WORTH.high : 0) +
        (bass ? WORTH.bass : i === 0 ? WORTH.low : 0);
      const outer = i === 0 || i === group.length - 1;
      out.set(v.id, { top, bass, outer, naming, chordal, doubled, worth });
    });
  }
  return out;
}
