/** Chords recognized from notes: one for each bar, half bar or beat, as chord symbols that can be corrected. */

import { parseChord } from '../harmony/chord';
import type { Chord } from '../harmony/types';
import { type Bar, beatTicks } from '../music/metre';
import type { HarmonyMark, Passage } from '../music/passage';
import { ticks } from '../base/units';
import { LETTERS, type Letter, type Pitch, pitchClass, spellingName } from '../music/pitch';
import { signature } from '../harmony/key';
import { type Voice, voicesOf } from './lines';

/** Suffixes in question, the plainest first; `plain` is what a rarer one must win by, in thousandths of a bar. */
const SUFFIXES: readonly (readonly [suffix: string, plain: number])[] = [
  ['', 0],
  ['m', 0],
  ['7', 10],
  ['m7', 20],
  ['maj7', 20],
  ['dim', 15],
  ['dim7', 15],
  ['m7b5', 20],
  ['aug', 30],
  ['sus4', 35],
  ['7sus4', 40],
  ['sus2', 45],
  ['6', 40],
  ['m6', 40],
  ['mMaj7', 45],
  ['9', 40],
  ['m9', 45],
  ['maj9', 45],
  ['7b9', 45],
  ['7#9', 55],
  ['add9', 50],
  ['m(add9)', 50],
  ['6/9', 55],
  ['m6/9', 60],
  ['9sus4', 55],
  ['aug7', 50],
  ['7b5', 50],
  ['maj7#5', 60],
  ['7#11', 60],
  ['maj7#11', 60],
  ['13', 60],
  ['maj13', 65],
  ['m11', 65],
  ['m13', 70],
  ['11', 60],
  ['9#11', 70],
  ['7b13', 70],
  ['5', 60],
];

interface Candidate {
  readonly root: number;
  readonly suffix: string;
  readonly plain: number;
  /** Pitch classes from the root, by what they are: the plain fifth may be missing, the third must not. */
  readonly tones: ReadonlySet<number>;
  readonly fifth: number;
  readonly naming: readonly number[];
  /** Sixths, ninths, elevenths, thirteenths. */
  readonly tensions: ReadonlySet<number>;
}

const CANDIDATES: readonly Candidate[] = SUFFIXES.flatMap(([suffix, plain]) => {
  const read = parseChord(`C${suffix}`);
  if (!read.ok) return [];
  const tones = read.value.tones;
  return Array.from({ length: 12 }, (_, root) => ({
    root,
    suffix,
    plain,
    tones: new Set(tones.map((t) => (t.pc + root) % 12)),
    fifth: tones.some((t) => t.degree === 5 && t.pc === 7) ? (root + 7) % 12 : -1,
    tensions: new Set(
      tones
        .filter((t) => ![1, 3, 4, 5, 7].includes(t.degree) && suffix !== 'sus2')
        .map((t) => (t.pc + root) % 12),
    ),
    naming: tones.filter((t) => t.degree === 3 || t.degree === 7).map((t) => (t.pc + root) % 12),
  }));
});

/** What is heard in a stretch: weights by pitch class in thousandths of the whole, and the lowest. */
interface Heard {
  readonly weights: readonly number[];
  readonly bass: number;
  readonly bassWeight: number;
  readonly silent: boolean;
}

const pcOf = (midi: number): number => ((midi % 12) + 12) % 12;

/** Weights of a stretch: time held, more for what is struck on a beat and for the bass. */
function hear(voices: readonly Voice[], from: number, to: number, beat: number): Heard {
  const raw = new Array<number>(12).fill(0);
  const low = new Map<number, number>();
  let lowest: Voice | null = null;
  for (const v of voices) {
    const inside = Math.min(v.end, to) - Math.max(v.onset, from);
    if (inside <= 0 || v.onset >= to) continue;
    const onBeat = v.onset >= from && (v.onset - from) % beat === 0;
    const weight = inside + (onBeat ? beat >> 2 : 0);
    raw[pcOf(v.midi)] = (raw[pcOf(v.midi)] as number) + weight;
    if (lowest === null || v.midi < lowest.midi || (v.midi === lowest.midi && v.onset < lowest.onset))
      lowest = v;
    if (v.midi < 60) low.set(pcOf(v.midi), (low.get(pcOf(v.midi)) ?? 0) + weight);
  }
  const sum = raw.reduce((a, b) => a + b, 0);
  // The bass is what lies lowest when the stretch begins, unless something lower comes on a beat.
  const first = voices.filter((v) => v.onset <= from + (beat >> 1) && v.end > from && v.onset < to);
  const bottom =
    first.reduce<Voice | null>((a, v) => (a === null || v.midi < a.midi ? v : a), null) ?? lowest;
  const bassVoice =
    lowest !== null && bottom !== null && bottom.midi - lowest.midi > 7 ? lowest : (bottom ?? lowest);
  const bass = bassVoice === null ? -1 : pcOf(bassVoice.midi);
  return {
    weights: raw.map((w) => (sum === 0 ? 0 : Math.floor((w * 1000) / sum))),
    bass,
    bassWeight: bass < 0 ? 0 : (low.get(bass) ?? 0),
    silent: sum === 0,
  };
}

/**
 * A sixth, ninth, eleventh or thirteenth is part of the chord when it is clearly there: this many thousandths of what
 * is heard. Each that is missing counts `FAINT` tenths, each that lies outside the chord `OUTSIDE` tenths.
 */
const CLEAR = 130;
const FAINT = 40;
const OUTSIDE = 14;

/** Points of a chord for what is heard, in thousandths: higher is better. */
function score(c: Candidate, h: Heard): number {
  let inside = 0;
  let missing = 0;
  for (let pc = 0; pc < 12; pc++) {
    const w = h.weights[pc] as number;
    if (c.tones.has(pc)) {
      inside += Math.min(w, 450);
      if (c.tensions.has(pc)) missing += Math.floor((Math.max(0, CLEAR - w) * FAINT) / 10);
      if (w < 12) missing += pc === c.fifth ? 25 : pc === c.root ? 220 : 150;
    }
  }
  const outside = 1000 - h.weights.reduce((s, w, pc) => s + (c.tones.has(pc) ? w : 0), 0);
  return (
    inside -
    Math.floor((OUTSIDE * outside) / 10) -
    missing -
    c.plain +
    (h.bass === c.root ? 130 : c.tones.has(h.bass) ? 0 : -60)
  );
}

function best(h: Heard): { candidate: Candidate; points: number } | null {
  if (h.silent) return null;
  let found: { candidate: Candidate; points: number } | null = null;
  for (const candidate of CANDIDATES) {
    const points = score(candidate, h);
    if (found === null || points > found.points) found = { candidate, points };
  }
  return found;
}

/** The spelling of a pitch class: as most of the notes have it, else as the key has it. */
function speller(
  passage: Passage,
  from: number,
  to: number,
): (pc: number) => { letter: Letter; alter: number } {
  const counts = new Map<string, { letter: Letter; alter: number; n: number }>();
  const count = (pitch: Pitch): void => {
    if (Math.abs(pitch.alter) > 1) return;
    const key = `${pitch.letter}${pitch.alter}`;
    const entry = counts.get(key) ?? { letter: pitch.letter, alter: pitch.alter, n: 0 };
    entry.n++;
    counts.set(key, entry);
  };
  for (const p of passage.plucks) if (p.onset >= from && p.onset < to) count(p.pitch);
  for (const t of passage.trembles)
    if (t.onset >= from && t.onset < to) t.notes.forEach((n) => count(n.pitch));
  const key = signature(passage.fifths);
  return (pc) => {
    const heard = [...counts.values()]
      .filter((c) => pitchClass(c.letter, c.alter) === pc)
      .sort((a, b) => b.n - a.n || Math.abs(a.alter) - Math.abs(b.alter));
    if (heard[0] !== undefined) return heard[0];
    const flats = passage.fifths < 0;
    const ways = LETTERS.flatMap((letter) =>
      ([0, -1, 1] as const)
        .filter((alter) => pitchClass(letter, alter) === pc)
        .map((alter) => ({ letter, alter })),
    );
    const own = ways.find((w) => key[w.letter] === w.alter);
    return (
      own ??
      ways.find((w) => w.alter === 0) ??
      ways.find((w) => w.alter === (flats ? -1 : 1)) ??
      (ways[0] as (typeof ways)[number])
    );
  };
}

/** A chord symbol at an onset. */
export function harmonyMark(chord: Chord, onset: number): HarmonyMark {
  const { text, root, bass, kind, degrees } = chord;
  return { onset: ticks(onset), text, root, bass, kind, degrees };
}

interface Stretch {
  readonly from: number;
  readonly to: number;
}

/** Halves of a bar where its felt beats divide; a bar of three beats has its first two and the last. */
function halves(bar: Bar): Stretch[] {
  const beat = beatTicks(bar.metre);
  const beats = Math.floor(bar.length / beat);
  const end = bar.start + bar.length;
  if (beats < 2) return [{ from: bar.start, to: end }];
  const middle = bar.start + Math.ceil(beats / 2) * beat;
  return [
    { from: bar.start, to: middle },
    { from: middle, to: end },
  ];
}

/** Felt beats; none where the bar has one or two, which are its halves. */
function beatsOf(bar: Bar): Stretch[] {
  const beat = beatTicks(bar.metre);
  const beats = Math.floor(bar.length / beat);
  if (beats < 3) return [];
  return Array.from({ length: beats }, (_, i) => ({
    from: bar.start + i * beat,
    to: i === beats - 1 ? bar.start + bar.length : bar.start + (i + 1) * beat,
  }));
}

/** What two chords must be worth more than one, in thousandths of a stretch: changing in mid-bar has to be heard. */
const CHANGE = 160;

/**
 * A chord for each bar, or for each half or beat where more are clearly heard, spelt as the notes are. A chord that stands on
 * is not said again; silence is left out. Weights (own, tuned on rendered progressions): time held, beats, the bass.
 */
export function recognizeHarmony(passage: Passage): HarmonyMark[] {
  const voices = voicesOf(passage);
  const out: HarmonyMark[] = [];
  let first = 0;
  const longest = voices.reduce((m, v) => Math.max(m, v.end - v.onset), 0);
  for (const bar of passage.bars) {
    const end = bar.start + bar.length;
    while (first < voices.length && (voices[first] as Voice).onset < bar.start - longest) first++;
    const near: Voice[] = [];
    for (let i = first; i < voices.length && (voices[i] as Voice).onset < end; i++) {
      if ((voices[i] as Voice).end > bar.start) near.push(voices[i] as Voice);
    }
    const beat = beatTicks(bar.metre);
    const whole = best(hear(near, bar.start, end, beat));
    interface Found extends Stretch {
      readonly found: NonNullable<typeof whole>;
    }
    let chosen: Found[] = whole === null ? [] : [{ from: bar.start, to: end, found: whole }];
    for (const stretches of [halves(bar), beatsOf(bar)]) {
      const split = stretches.flatMap((s): Found[] => {
        const found = best(hear(near, s.from, s.to, beat));
        return found === null ? [] : [{ ...s, found }];
      });
      const names = new Set(split.map((p) => `${p.found.candidate.root} ${p.found.candidate.suffix}`));
      const mean = (list: readonly Found[]): number =>
        list.reduce((s, p) => s + p.found.points, 0) / Math.max(1, list.length);
      if (names.size > 1 && (chosen.length === 0 || mean(split) > mean(chosen) + CHANGE)) chosen = split;
    }
    for (const { from, to, found } of chosen) {
      const spell = speller(passage, from, to);
      const root = spell(found.candidate.root);
      const heard = hear(near, from, to, beat);
      const slash =
        heard.bass >= 0 && heard.bass !== found.candidate.root
          ? `/${spellingName(spell(heard.bass).letter, spell(heard.bass).alter)}`
          : '';
      const read = parseChord(`${spellingName(root.letter, root.alter)}${found.candidate.suffix}${slash}`);
      if (read.ok && out.at(-1)?.text !== read.value.text) out.push(harmonyMark(read.value, from));
    }
  }
  return out;
}

/** The chord of a mark, read from its text; null for N.C. and what does not parse. */
export function chordOf(mark: HarmonyMark): Chord | null {
  const read = parseChord(mark.text);
  return read.ok ? read.value : null;
}

/** Pitch classes of a mark's third and seventh. */
export function namingClasses(mark: HarmonyMark): number[] {
  const tones = chordOf(mark)?.tones ?? [];
  return [...new Set(tones.filter((t) => t.degree === 3 || t.degree === 7).map((t) => t.pc))];
}
