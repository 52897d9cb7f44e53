// Keys by name and by guess, and Roman numerals.

import { describe, expect, it } from 'vitest';
import { chordPitchClasses, chordSymbol, readChord } from '../../src/harmony/chord';
import { estimateKey, fifthsOf, keyName, parseKey, signature } from '../../src/harmony/key';
import { parseProgression } from '../../src/harmony/progression';
import { LETTERS, pitchClass } from '../../src/music/pitch';

const numerals = (text: string, key: string): string => {
  const p = parseProgression(text, { metre: { beats: 4, unit: 4 }, key });
  expect(p.problems).toEqual([]);
  return p.chords.map((c) => (c.chord === null ? 'N.C.' : chordSymbol(c.chord))).join(' ');
};
const guess = (text: string): string =>
  keyName(parseProgression(text, { metre: { beats: 4, unit: 4 }, key: null }).key);

describe('keys by name', () => {
  it.each([
    ['Eb', 'Eb major', -3],
    ['c', 'C minor', -3],
    ['F# minor', 'F# minor', 3],
    ['Bb major', 'Bb major', -2],
    ['A♭', 'Ab major', -4],
    ['am', 'A minor', 0],
    ['Am', 'A minor', 0],
    ['AM', 'A major', 3],
    ['bb', 'Bb minor', -5],
    ['b', 'B minor', 2],
    ['C-major', 'C major', 0],
    // Eight sharps are read as four flats.
    ['G# major', 'Ab major', -4],
    ['Fb', 'E major', 4],
    ['d# minor', 'D# minor', 6],
    ['Cb', 'Cb major', -7],
  ])('%s is %s', (text, name, fifths) => {
    const key = parseKey(text);
    expect(key === null ? null : keyName(key)).toBe(name);
    expect(key?.fifths).toBe(fifths);
  });

  it('refuses the rest', () => {
    for (const text of ['', 'H', 'zz', 'C dorian', 'Ebb', '7']) expect(parseKey(text), text).toBeNull();
  });

  it('signatures hold as many signs as fifths, and the major scale on the tonic', () => {
    for (let fifths = -7; fifths <= 7; fifths++) {
      const signs = signature(fifths);
      expect(LETTERS.reduce((n, l) => n + signs[l], 0)).toBe(fifths);
      const tonic = LETTERS.find((letter) => fifthsOf({ letter, alter: signs[letter] }, 'major') === fifths);
      expect(tonic).toBeDefined();
      if (tonic === undefined) continue;
      const root = pitchClass(tonic, signs[tonic]);
      const above = LETTERS.map((l) => (pitchClass(l, signs[l]) - root + 12) % 12).sort((a, b) => a - b);
      expect(above).toEqual([0, 2, 4, 5, 7, 9, 11]);
    }
  });
});

describe('modes by guess', () => {
  const key = (text: string) => parseProgression(text, { metre: { beats: 4, unit: 4 }, key: null }).key;
  it.each([
    ['Dm | Em | Dm | C | Dm', 'D dorian', 0],
    ['Dm | G | A7 | Dm', 'D dorian', 0],
    ['D | C | G | D', 'D mixolydian', 1],
    ['G | F | C | G', 'G mixolydian', 0],
    ['Em | F | Em | F | Em', 'E phrygian', 0],
    ['C | D | C | D | C', 'C lydian', 1],
    // Both sevenths, both sixths: no mode.
    ['C7 | F7 | G7 | C', 'C major', 0],
    ['Dm | Gm | A7 | Dm', 'D minor', -1],
    ['Dm | G7 | Gm | A7 | Dm', 'D minor', -1],
    ['C | A7 | Dm | G7 | C', 'C major', 0],
  ])('%s is %s', (text, name, fifths) => {
    expect(keyName(key(text))).toBe(name);
    expect(key(text).fifths).toBe(fifths);
  });
});

describe('keys by guess', () => {
  it.each([
    ['Ebmaj7 | Cm9 | Fm7 Bb7b9 | Eb6/9', 'Eb major'],
    ['C | F | G7 | C', 'C major'],
    ['Am | Dm | E7 | Am', 'A minor'],
    ['Cm7 | F7 | Bbmaj7 | Ebmaj7 | Am7b5 | D7 | Gm | Gm', 'G minor'],
    ['Dm7 | G7 | Cmaj7 | %', 'C major'],
    ['F#m | B7 | E', 'E major'],
    ['Gb | Cb | Db7 | Gb', 'Gb major'],
    ['F# | B | C#7 | F#', 'F# major'],
    ['C7 | F7 | C7 | G7 | F7 | C7', 'C major'],
    ['D | A | Bm | G', 'D major'],
    ['N.C.', 'C major'],
  ])('%s is in %s', (text, name) => expect(guess(text)).toBe(name));

  it('moves with the music: every transposition of a cadence finds its own tonic', () => {
    const roots = ['C', 'Db', 'D', 'Eb', 'E', 'F', 'Gb', 'G', 'Ab', 'A', 'Bb', 'B', 'F#', 'C#', 'Cb'];
    for (const root of roots) {
      for (const mode of ['', ' minor']) {
        const key = root + mode;
        if (parseKey(key)?.tonic.letter !== root[0]) continue;
        const text = numerals(mode === '' ? 'I | vi ii | V7 | I' : 'i | iv | V7 | i', key).replace(
          / /g,
          ' | ',
        );
        expect(guess(text), `${key}: ${text}`).toBe(`${root} ${mode === '' ? 'major' : 'minor'}`);
      }
    }
  });

  it('answers C major where there is nothing, and takes bare chords', () => {
    expect(keyName(estimateKey([]))).toBe('C major');
    expect(keyName(estimateKey(['G', 'D7', 'G'].map((t) => ({ chord: readChord(t) }))))).toBe('G major');
  });
});

describe('Roman numerals', () => {
  it.each([
    ['I ii V7 I', 'C', 'C Dm G7 C'],
    ['Imaj7 IVmaj7 iim7 V9sus4', 'Eb', 'E♭maj7 A♭maj7 Fm7 B♭9sus4'],
    ['bVII7 bIII bVI bII', 'C', 'B♭7 E♭ A♭ D♭'],
    ['viio7 iiø7 III+ vii°', 'C', 'Bdim7 Dø Eaug Bdim'],
    ['V7/V V7/ii viio7/V V7/bVII', 'C', 'D7 A7 F♯dim7 F7'],
    ['i iv V7 VI', 'c', 'Cm Fm G7 A♭'],
    ['III VII bVII vii°7', 'a', 'C G G G♯dim7'],
    ['iM7 i6 iiø7 #viø7', 'A minor', 'AmM7 Am6 Bø F♯ø'],
    ['vii°/V V7/iv V7/V v', 'f#', 'B♯dim F♯7 G♯7 C♯m'],
    // A double flat is respelt.
    ['bII bVI bIII IV', 'Gb', 'G D A C♭'],
    ['I6/9 V7b9/B IIm7 isus4', 'C', 'C6/9 G7♭9/B Dm7 Csus4'],
  ])('%s in %s', (text, key, expected) => expect(numerals(text, key)).toBe(expected));

  it('need a key, and say so', () => {
    const p = parseProgression('C | ii7 V7', { metre: { beats: 4, unit: 4 }, key: null });
    expect(p.problems.map((x) => [x.code, x.value])).toEqual([
      ['roman-needs-key', 'ii7'],
      ['roman-needs-key', 'V7'],
    ]);
    expect(p.problems.every((x) => String(x.limit).includes('key'))).toBe(true);
  });

  it('answer a slip with the nearest numeral', () => {
    const p = parseProgression('iim77 | V7b10/ii', { metre: { beats: 4, unit: 4 }, key: 'C' });
    expect(p.problems.map((x) => x.limit)).toEqual(['iim7', 'V7b13/ii']);
  });

  it('sound the same relative to the tonic in every key', () => {
    const text = 'I ii7 V7/V bVII7 | viio7 iiø7 IV6 V13';
    const relative = (key: string): string[] => {
      const p = parseProgression(text, { metre: { beats: 4, unit: 4 }, key });
      const tonic = pitchClass(p.key.tonic.letter, p.key.tonic.alter);
      return p.chords.map((c) =>
        c.chord === null
          ? ''
          : chordPitchClasses(c.chord)
              .map((pc) => (pc - tonic + 12) % 12)
              .sort((a, b) => a - b)
              .join(),
      );
    };
    const inC = relative('C');
    for (const key of ['Db', 'D', 'Eb', 'E', 'F', 'Gb', 'F#', 'G', 'Ab', 'A', 'Bb', 'B', 'Cb', 'C#'])
      expect(relative(key), key).toEqual(inC);
  });
});
