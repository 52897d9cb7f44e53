// Progressions built by hand, so that the figures are tested apart from the reading of chord text.
import { ticks } from '../../src/base/units';
import type { Chord, ChordTone, PlacedChord, Progression, Spelling } from '../../src/harmony/types';
import { type Metre, barTicks } from '../../src/music/metre';
import { LETTERS, type Letter, letterSemitones, pitchClass } from '../../src/music/pitch';

/** Degree and semitones above the root. */
const FORMULAS: Record<string, { quality: Chord['quality']; tones: [number, number][] }> = {
  '': {
    quality: 'major',
    tones: [
      [1, 0],
      [3, 4],
      [5, 7],
    ],
  },
  m: {
    quality: 'minor',
    tones: [
      [1, 0],
      [3, 3],
      [5, 7],
    ],
  },
  '5': {
    quality: 'power',
    tones: [
      [1, 0],
      [5, 7],
    ],
  },
  '6': {
    quality: 'major',
    tones: [
      [1, 0],
      [3, 4],
      [5, 7],
      [6, 9],
    ],
  },
  '6/9': {
    quality: 'major',
    tones: [
      [1, 0],
      [3, 4],
      [5, 7],
      [6, 9],
      [9, 2],
    ],
  },
  '7': {
    quality: 'dominant',
    tones: [
      [1, 0],
      [3, 4],
      [5, 7],
      [7, 10],
    ],
  },
  '9': {
    quality: 'dominant',
    tones: [
      [1, 0],
      [3, 4],
      [5, 7],
      [7, 10],
      [9, 2],
    ],
  },
  '13': {
    quality: 'dominant',
    tones: [
      [1, 0],
      [3, 4],
      [5, 7],
      [7, 10],
      [9, 2],
      [13, 9],
    ],
  },
  '7b9': {
    quality: 'dominant',
    tones: [
      [1, 0],
      [3, 4],
      [5, 7],
      [7, 10],
      [9, 1],
    ],
  },
  '7#9': {
    quality: 'dominant',
    tones: [
      [1, 0],
      [3, 4],
      [5, 7],
      [7, 10],
      [9, 3],
    ],
  },
  '7alt': {
    quality: 'dominant',
    tones: [
      [1, 0],
      [3, 4],
      [5, 6],
      [7, 10],
      [9, 1],
      [9, 3],
      [13, 8],
    ],
  },
  maj7: {
    quality: 'major',
    tones: [
      [1, 0],
      [3, 4],
      [5, 7],
      [7, 11],
    ],
  },
  'maj7#11': {
    quality: 'major',
    tones: [
      [1, 0],
      [3, 4],
      [5, 7],
      [7, 11],
      [11, 6],
    ],
  },
  m7: {
    quality: 'minor',
    tones: [
      [1, 0],
      [3, 3],
      [5, 7],
      [7, 10],
    ],
  },
  m9: {
    quality: 'minor',
    tones: [
      [1, 0],
      [3, 3],
      [5, 7],
      [7, 10],
      [9, 2],
    ],
  },
  m11: {
    quality: 'minor',
    tones: [
      [1, 0],
      [3, 3],
      [5, 7],
      [7, 10],
      [9, 2],
      [11, 5],
    ],
  },
  mM7: {
    quality: 'minor',
    tones: [
      [1, 0],
      [3, 3],
      [5, 7],
      [7, 11],
    ],
  },
  m7b5: {
    quality: 'half-diminished',
    tones: [
      [1, 0],
      [3, 3],
      [5, 6],
      [7, 10],
    ],
  },
  dim7: {
    quality: 'diminished',
    tones: [
      [1, 0],
      [3, 3],
      [5, 6],
      [7, 9],
    ],
  },
  dim: {
    quality: 'diminished',
    tones: [
      [1, 0],
      [3, 3],
      [5, 6],
    ],
  },
  aug: {
    quality: 'augmented',
    tones: [
      [1, 0],
      [3, 4],
      [5, 8],
    ],
  },
  sus4: {
    quality: 'suspended',
    tones: [
      [1, 0],
      [4, 5],
      [5, 7],
    ],
  },
  '7sus4': {
    quality: 'suspended',
    tones: [
      [1, 0],
      [4, 5],
      [5, 7],
      [7, 10],
    ],
  },
  add9: {
    quality: 'major',
    tones: [
      [1, 0],
      [3, 4],
      [5, 7],
      [9, 2],
    ],
  },
};

function spelling(text: string): Spelling {
  const letter = text[0] as Letter;
  return { letter, alter: text[1] === 'b' ? -1 : text[1] === '#' ? 1 : 0 };
}

function tone(root: Spelling, degree: number, semitones: number): ChordTone {
  const start = LETTERS.indexOf(root.letter);
  const steps = (degree - 1) % 7;
  const letter = LETTERS[(start + steps) % 7] as Letter;
  const pc = (pitchClass(root.letter, root.alter) + semitones) % 12;
  const alter = ((pc - letterSemitones(letter) + 18) % 12) - 6;
  return { letter, alter, degree, pc };
}

export function chordNamed(text: string): Chord {
  const m = /^([A-G][b#]?)(.*?)(?:\/([A-G][b#]?))?$/.exec(text);
  if (m === null) throw new Error(text);
  const formula = FORMULAS[m[2] as string];
  if (formula === undefined) throw new Error(text);
  const root = spelling(m[1] as string);
  return {
    text,
    root,
    bass: m[3] === undefined ? null : spelling(m[3]),
    tones: formula.tones.map(([d, s]) => tone(root, d, s)),
    quality: formula.quality,
    kind: 'other',
    degrees: [],
  };
}

/** 'C | Am7 D7 | N.C.': chords of a bar share it evenly; a word held with '/' takes another share. */
export function progressionOf(text: string, metre: Metre, fifths = 0): Progression {
  const bar = barTicks(metre);
  const chords: PlacedChord[] = [];
  const bars = text.split('|').map((b) => b.trim());
  bars.forEach((words, i) => {
    const list = words.split(/\s+/);
    const share = bar / list.length;
    list.forEach((word, k) => {
      const last = chords.at(-1);
      if (word === '/' && last !== undefined) {
        chords[chords.length - 1] = { ...last, duration: ticks(last.duration + share) };
        return;
      }
      chords.push({
        onset: ticks(i * bar + k * share),
        duration: ticks(share),
        chord: word === 'N.C.' ? null : chordNamed(word),
        text: word,
        where: { kind: 'text', start: 0, end: 0 },
      });
    });
  });
  return {
    source: text,
    metre,
    barCount: bars.length,
    chords,
    key: { tonic: { letter: 'C', alter: 0 }, mode: 'major', fifths },
    problems: [],
  };
}

/** A dozen that differ: plain, jazz, slash basses, diminished, altered, N.C., many chords in a bar. */
export const PROGRESSIONS = [
  'C | Am | F | G7',
  'Ebmaj7 | Cm9 | Fm7 Bb7b9 | Eb6/9',
  'Am Am/G | F#m7b5 | Fmaj7#11 | E7 / E7b9 /',
  'Cdim7 | C#dim7 | Ddim7 | G7alt C',
  'N.C. | D | A/C# | Bm7 N.C.',
  'F#m | C#7 | A#dim B | E/G#',
  'Gb | Db/F | Ebm | Cbmaj7',
  'C7#9 | F13 | Bbm11 | A7alt D6/9 N.C. N.C.',
  'G5 | C5 D5 | Aaug | Dsus4 D',
  'Dm7 G13 Cmaj7 A7 | Dm7 G7 Em7 A7b9 | Dm9 | C6/9',
  'B7 | E | CmM7 | G/B',
  'Cadd9 | Gsus4 | F6 | C/E N.C. | N.C.',
];

export const METRES: readonly Metre[] = [
  { beats: 2, unit: 4 },
  { beats: 3, unit: 4 },
  { beats: 4, unit: 4 },
  { beats: 5, unit: 4 },
  { beats: 6, unit: 8 },
  { beats: 9, unit: 8 },
  { beats: 12, unit: 8 },
];
