/** The harmony of every stretch of a passage: by its chord symbols where it has them, else recognised from its notes. */

import { type Ticks, ticks } from '../base/units';
import { parseChord } from '../harmony/chord';
import { tensionsOf } from '../harmony/gliss';
import type { Chord, ChordTone } from '../harmony/types';
import { beatTicks } from '../music/metre';
import { type Passage, passageEnd } from '../music/passage';
import { midiOf, pitchClass } from '../music/pitch';

/** One chord and how long it stands. */
export interface Harmony {
  readonly from: Ticks;
  readonly to: Ticks;
  /** As typed, or the symbol recognised. */
  readonly name: string;
  /** Tones as the symbol spells them, a slash bass included (degree 0 where it is no tone of the chord). */
  readonly tones: readonly ChordTone[];
  /** Pitch classes of further tones that the chord bears, the least colouring first. */
  readonly tensions: readonly number[];
  /** False where it was recognised from the notes. */
  readonly written: boolean;
}

function harmonyOf(chord: Chord, from: Ticks, to: Ticks, name: string, written: boolean): Harmony {
  const { bass } = chord;
  const under = bass === null ? null : pitchClass(bass.letter, bass.alter);
  const tones =
    bass === null || under === null || chord.tones.some((t) => t.pc === under)
      ? chord.tones
      : [...chord.tones, { ...bass, degree: 0, pc: under }];
  return { from, to, name, tones, tensions: tensionsOf(chord), written };
}

/** Chords that are recognised, plain ones first: suffix, and what taking it costs beside a triad. Common practice. */
const KNOWN: readonly (readonly [suffix: string, cost: number])[] = [
  ['', 0],
  ['m', 0],
  ['7', 2],
  ['m7', 2],
  ['maj7', 2],
  ['dim', 2],
  ['m7b5', 3],
  ['dim7', 3],
  ['6', 4],
  ['m6', 4],
  ['sus4', 4],
  ['aug', 4],
  ['7b9', 5],
  ['9', 5],
];
const ROOTS = ['C', 'Db', 'D', 'Eb', 'E', 'F', 'F#', 'G', 'Ab', 'A', 'Bb', 'B'] as const;
/** Points: a note outside the chord, a beat whose bass is not the root, a change of chord at a bar line or elsewhere. */
const COST = { outside: 6, bass: 1, atBar: 3, change: 6 } as const;

interface Template {
  readonly chord: Chord;
  readonly root: number;
  readonly mask: number;
  readonly cost: number;
}
let made: readonly Template[] | null = null;
const templates = (): readonly Template[] =>
  (made ??= KNOWN.flatMap(([suffix, cost]) =>
    ROOTS.flatMap((root, pc): Template[] => {
      const chord = parseChord(root + suffix);
      if (!chord.ok) return [];
      const mask = chord.value.tones.reduce((m, t) => m | (1 << t.pc), 0);
      return [{ chord: chord.value, root: pc, mask, cost }];
    }),
  ));

/** Beats as felt, over the whole passage. */
function beatsOf(passage: Passage): Ticks[] {
  return passage.bars.flatMap((bar) => {
    const beat = beatTicks(bar.metre);
    return Array.from({ length: Math.max(1, Math.ceil(bar.length / beat)) }, (_, i) =>
      ticks(bar.start + i * beat),
    );
  });
}

/**
 * The cheapest succession of known chords over the beats, each note outside its chord and each change counted:
 * a shortest path, beat by beat.
 */
function recognised(passage: Passage): Harmony[] {
  const beats = beatsOf(passage);
  const barLines = new Set<number>(passage.bars.map((bar) => bar.start));
  const all = templates();
  const notes = beats.map((): number[] => []);
  const bass = beats.map((): number => Infinity);
  let b = 0;
  for (const pluck of passage.plucks) {
    while (b + 1 < beats.length && (beats[b + 1] as number) <= pluck.onset) b++;
    const midi = midiOf(pluck.pitch);
    (notes[b] as number[]).push(midi % 12);
    bass[b] = Math.min(bass[b] as number, midi);
  }
  let costs = all.map((t) => t.cost);
  const from: Int32Array[] = [];
  beats.forEach((_, i) => {
    let cheapest = 0;
    costs.forEach((c, t) => {
      if (c < (costs[cheapest] as number)) cheapest = t;
    });
    const base = costs[cheapest] as number;
    const came = new Int32Array(all.length);
    costs = all.map((t, k) => {
      const change = base + (barLines.has(beats[i] as number) ? COST.atBar : COST.change) + t.cost;
      const stay = costs[k] as number;
      came[k] = i > 0 && change < stay ? cheapest : k;
      const outside = (notes[i] as number[]).filter((pc) => (t.mask & (1 << pc)) === 0).length;
      const foreign = Number.isFinite(bass[i]) && (bass[i] as number) % 12 !== t.root ? COST.bass : 0;
      return (i === 0 ? stay : Math.min(stay, change)) + COST.outside * outside + foreign;
    });
    from.push(came);
  });
  let at = costs.reduce((best, c, k) => (c < (costs[best] as number) ? k : best), 0);
  const path: number[] = [];
  for (let i = beats.length - 1; i >= 0; i--) {
    path.unshift(at);
    at = (from[i] as Int32Array)[at] as number;
  }
  const out: Harmony[] = [];
  path.forEach((k, i) => {
    const { chord } = all[k] as Template;
    const last = out.at(-1);
    const to = beats[i + 1] ?? passageEnd(passage);
    if (last !== undefined && last.name === chord.text) out[out.length - 1] = { ...last, to };
    else out.push(harmonyOf(chord, beats[i] as Ticks, to, chord.text, false));
  });
  return out;
}

/**
 * Harmonies in order of time. Symbols that the grammar does not read, N.C., and what stands before the first symbol
 * give no harmony; a passage without any readable symbol is recognised beat by beat.
 */
export function harmoniesOf(passage: Passage): Harmony[] {
  if (passage.bars.length === 0) return [];
  const marks = [...passage.chords].sort((a, b) => a.onset - b.onset);
  const written = marks.flatMap((mark, i): Harmony[] => {
    const chord = parseChord(mark.text);
    const to = marks[i + 1]?.onset ?? passageEnd(passage);
    return chord.ok && to > mark.onset ? [harmonyOf(chord.value, mark.onset, to, mark.text, true)] : [];
  });
  return written.length > 0 ? written : recognised(passage);
}

/** The harmony at an instant, or null. */
export const harmonyAt = (harmonies: readonly Harmony[], at: Ticks): Harmony | null =>
  harmonies.findLast((h) => h.from <= at && at < h.to) ?? null;
