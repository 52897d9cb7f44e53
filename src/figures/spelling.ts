/** The tones of a chord as harp strings can hold them: one inflection a letter, none doubled or lost in silence. */

import { pitchClassMask, settableTogether } from '../harp/sweep-settings';
import type { Position } from '../harp/setting';
import { scaleFor } from '../harmony/scales';
import type { Chord, Progression, Spelling } from '../harmony/types';
import { LETTERS, type Letter, type Pitch, midiOf, pitchClass } from '../music/pitch';

/** A chord tone on a string: a letter held in one position while the chord lasts. */
export interface Tone {
  readonly letter: Letter;
  readonly alter: Position;
  readonly pc: number;
  /** The degree that the symbol names; 0 for a slash bass that is no chord tone. */
  readonly degree: number;
}

export interface SpelledChord {
  readonly bass: Tone;
  readonly root: Tone | null;
  /** Chord tones from the most to the least telling: third, seventh, tensions, root, plain fifth. */
  readonly tones: readonly Tone[];
  /** The seven notes of the chord's scale in the key, where a figure runs in scales. */
  readonly scale?: readonly Tone[];
  /** Chord tones left out since no setting holds them beside the rest. */
  readonly dropped: readonly number[];
}

/** How much a chord would miss a tone; lower is missed more. Common practice: guide tones, then tensions. */
function rank(degree: number, semitones: number, chord: Chord): number {
  const natural5 = semitones === 7;
  const suspended = chord.quality === 'suspended';
  switch (degree) {
    case 3:
      return 0;
    case 2:
    case 4:
      return suspended ? 0 : 3;
    case 7:
      return 1;
    case 6:
      return 2;
    case 13:
      return 2;
    case 9:
      return 3;
    case 11:
      // A plain eleventh rubs against a major third; a sharp one is a colour that was asked for.
      return semitones === 5 && (chord.quality === 'dominant' || chord.quality === 'major') ? 6 : 3;
    case 5:
      return natural5 ? (chord.tones.length <= 3 ? 4 : 7) : 2;
    default:
      return 5;
  }
}

interface Wanted extends Spelling {
  readonly pc: number;
  readonly degree: number;
}

/** Spellings within one alteration, the asked one first. */
function options(t: Wanted): Tone[] {
  const out: Tone[] = [];
  const add = (letter: Letter, alter: number): void => {
    if (alter < -1 || alter > 1) return;
    if (out.some((o) => o.letter === letter)) return;
    out.push({ letter, alter: alter as Position, pc: t.pc, degree: t.degree });
  };
  add(t.letter, t.alter);
  for (const alter of [0, -1, 1]) {
    for (const letter of LETTERS) if (pitchClass(letter, alter) === t.pc) add(letter, alter);
  }
  return out;
}

/** One letter each, fewest respelt, searched in order; null where they cannot stand together. */
function assign(wanted: readonly Wanted[]): Tone[] | null {
  const lists = wanted.map(options);
  let best: Tone[] | null = null;
  let bestCost = Infinity;
  const used = new Set<Letter>();
  const chosen: Tone[] = [];
  const walk = (i: number, cost: number): void => {
    if (cost >= bestCost) return;
    if (i === lists.length) {
      best = [...chosen];
      bestCost = cost;
      return;
    }
    (lists[i] as Tone[]).forEach((tone, k) => {
      if (used.has(tone.letter)) return;
      used.add(tone.letter);
      chosen.push(tone);
      walk(i + 1, cost + k);
      chosen.pop();
      used.delete(tone.letter);
    });
  };
  walk(0, 0);
  return best;
}

const cache = new Map<string, SpelledChord>();

/** Spells a chord for the strings. Tones that cannot stand beside more telling ones are dropped and named. */
export function spellChord(chord: Chord): SpelledChord {
  const key =
    JSON.stringify(chord.tones.map((t) => [t.letter, t.alter, t.degree])) +
    JSON.stringify([chord.bass, chord.root, chord.quality]);
  const known = cache.get(key);
  if (known !== undefined) return known;
  const bass = chord.bass ?? chord.root;
  const bassPc = pitchClass(bass.letter, bass.alter);
  const rootPc = pitchClass(chord.root.letter, chord.root.alter);
  const ordered = [...chord.tones]
    .map((t, i) => ({ t, i, r: rank(t.degree, (t.pc - rootPc + 12) % 12, chord) }))
    .sort((a, b) => a.r - b.r || a.i - b.i)
    .map((x) => x.t);
  const inChord = ordered.find((t) => t.pc === bassPc);
  const kept: Wanted[] = [{ ...bass, pc: bassPc, degree: inChord?.degree ?? 0 }];
  const dropped: number[] = [];
  for (const t of ordered) {
    if (kept.some((k) => k.pc === t.pc)) continue;
    if (kept.length < 7 && settableTogether(pitchClassMask([...kept, t].map((k) => k.pc)))) kept.push(t);
    else dropped.push(t.pc);
  }
  // settableTogether says that letters exist for all of them, so the assignment does too.
  const tones = assign(kept) ?? [];
  const bassTone = tones[0] as Tone;
  const rest = ordered.flatMap((t) => tones.find((x) => x.pc === t.pc) ?? []);
  const spelled: SpelledChord = {
    bass: bassTone,
    root: rest.find((t) => t.pc === rootPc) ?? null,
    tones: rest.length > 0 ? rest : [bassTone],
    dropped,
  };
  if (cache.size > 1000) cache.clear();
  cache.set(key, spelled);
  return spelled;
}

const scales = new Map<string, readonly Spelling[]>();

/** The chord with its scale in a key. A bass that the scale spells otherwise, or has not, is settled in its favour. */
export function withScale(spelled: SpelledChord, chord: Chord, key: Progression['key']): SpelledChord {
  const name = `${JSON.stringify([chord.tones, chord.root, key.fifths])}`;
  const notes = scales.get(name) ?? scaleFor(chord, key);
  if (scales.size > 1000) scales.clear();
  scales.set(name, notes);
  const scale = notes.flatMap(({ letter, alter }): Tone[] => {
    if (alter < -1 || alter > 1) return [];
    const pc = pitchClass(letter, alter);
    const degree = spelled.tones.find((t) => t.pc === pc)?.degree ?? 0;
    return [{ letter, alter: alter as Position, pc, degree }];
  });
  const bass = scale.find((t) => t.pc === spelled.bass.pc);
  if (bass !== undefined) return { ...spelled, bass: { ...bass, degree: spelled.bass.degree }, scale };
  return { ...spelled, scale: scale.map((t) => (t.letter === spelled.bass.letter ? spelled.bass : t)) };
}

/** All pitches of the tones with strings between two indices (ends included), from low to high. */
export function ladder(tones: readonly Tone[], low: number, high: number): Pitch[] {
  const out: Pitch[] = [];
  for (let s = low; s <= high; s++) {
    const letter = LETTERS[((s % 7) + 7) % 7] as Letter;
    const tone = tones.find((t) => t.letter === letter);
    if (tone !== undefined) out.push({ letter, alter: tone.alter, octave: Math.floor(s / 7) + 1 });
  }
  return out.sort((a, b) => midiOf(a) - midiOf(b));
}
