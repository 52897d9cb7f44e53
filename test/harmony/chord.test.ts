// Chord symbols: contents against tonal, MusicXML kinds against the schema's own words, round trips.

import { describe, expect, it } from 'vitest';
import { chordSymbol, parseChord, readChord } from '../../src/harmony/chord';
import { SUFFIXES, SUFFIX_ROWS } from '../../src/harmony/grammar';
import type { Chord, Spelling } from '../../src/harmony/types';
import { pitchClass } from '../../src/music/pitch';
import { tonalChordTones, tonalSuffixes } from '../../src/music/theory';

const SIGNS = ['bb', 'b', '', '#', '##'];
const ROOTS = [...'CDEFGAB'].flatMap((letter) => ['', 'b', '#'].map((sign) => letter + sign));
const names = (tones: readonly Spelling[]): string =>
  tones
    .map((t) => t.letter + (SIGNS[t.alter + 2] ?? '?'))
    .sort()
    .join(' ');
const spelt = (text: string): string => {
  const c = chord(text);
  return c.tones.map((t) => t.letter + (SIGNS[t.alter + 2] as string)).join(' ');
};
function chord(text: string): Chord {
  const read = parseChord(text);
  if (!read.ok) throw new Error(`${text} was not read: ${JSON.stringify(read.problems)}`);
  return read.value;
}
/** Behind a root without sign a leading b or # would be the root's: parentheses keep it apart. */
const join = (root: string, suffix: string): string =>
  /^[b#]/.test(suffix) ? `${root}(${suffix})` : root + suffix;

/** Where tonal's dictionary reads a symbol otherwise than it is written. */
const TONAL_WRONG: Readonly<Record<string, string>> = {
  'maj#4': 'adds a seventh that is not written',
  M7add13: 'adds a ninth that is not written',
  M6b5: 'keeps the natural fifth and reads b5 as #11',
  '6b5': 'keeps the natural fifth and reads b5 as #11',
  '7b5b13': 'keeps the natural fifth and reads b5 as #11',
  '9b5b13': 'keeps the natural fifth and reads b5 as #11',
  '7b5#9': 'keeps the natural fifth and reads b5 as #11',
  '7#9b5': 'keeps the natural fifth and reads b5 as #11',
  '7b5b9': 'keeps the natural fifth and reads b5 as #11',
  '7b9b5': 'keeps the natural fifth and reads b5 as #11',
  '7b5b9b13': 'keeps the natural fifth and reads b5 as #11',
  'm7#5': 'spells #5 as b6',
  'm9#5': 'spells #5 as b6',
  b9sus: 'adds a seventh that is not written',
};
/** Suffixes of tonal's that are no symbol of this grammar. */
const NOT_OURS = new Set([
  ...['^#5', '^', '67', 'h7', 'h', 'o7M7', '4', 'quartal', 'm11A', 'phryg', 'alt7'],
  ...['M7b6', '^7b6', '7b6', 'mb6M7', 'mMaj7b6', 'mMaj9b6', 'mb6b9'],
]);

describe('chord contents against tonal', () => {
  it('agree, spelling included, for every suffix tonal knows on every root', () => {
    let compared = 0;
    const refused = new Set<string>();
    for (const suffix of tonalSuffixes()) {
      for (const root of ROOTS) {
        // `Do` alone is the syllable.
        if (root + suffix === 'Do') continue;
        const ours = readChord(join(root, suffix));
        if (ours === null) {
          refused.add(suffix);
          continue;
        }
        if (suffix in TONAL_WRONG) continue;
        const theirs = tonalChordTones(root, suffix);
        if (theirs === null) throw new Error(`tonal is silent on ${root}${suffix}`);
        // Triple signs are respelt here; there the sound must agree.
        if (theirs.every((t) => Math.abs(t.alter) <= 2))
          expect(names(ours.tones), root + suffix).toBe(names(theirs));
        else
          expect(ours.tones.map((t) => t.pc).sort(), root + suffix).toEqual(
            theirs.map((t) => pitchClass(t.letter, t.alter + 12)).sort(),
          );
        compared++;
      }
    }
    expect(refused).toEqual(NOT_OURS);
    expect(compared).toBe((214 - NOT_OURS.size - Object.keys(TONAL_WRONG).length) * ROOTS.length - 1);
  });

  it('differ where the list says so, and only there', () => {
    const differing = Object.keys(TONAL_WRONG).filter(
      (suffix) => names(chord(join('C', suffix)).tones) !== names(tonalChordTones('C', suffix) ?? []),
    );
    expect(differing).toEqual(Object.keys(TONAL_WRONG));
  });

  it('stand for the writings on which tonal is silent', () => {
    const same: (readonly [ours: string, tonal: string])[] = [
      ...([
        ['C7(b9)', 'C7b9'],
        ['Cm(maj7)', 'CmM7'],
        ['C(add9)', 'Cadd9'],
        ['CΔ7', 'Cmaj7'],
        ['Cø7', 'Cm7b5'],
      ] as const),
      ...([
        ['B♭7', 'Bb7'],
        ['F♯m', 'F#m'],
        ['E♭−7', 'Ebm7'],
        ['C7(b9,#11)', 'C7b9#11'],
        ['C7(♭9, ♯11)', 'C7b9#11'],
      ] as const),
      ...([
        ['C-7(b5)', 'Cm7b5'],
        ['C7-9', 'C7b9'],
        ['C7+9', 'C7#9'],
        ['C7-5', 'C7b5'],
        ['C+9', 'C9#5'],
      ] as const),
      ...([
        ['Comit3', 'C5'],
        ['Cmaj9(#11)', 'Cmaj9#11'],
        ['C6(9)', 'C6/9'],
        ['C7(13)', 'C7add13'],
      ] as const),
      ...([
        ['Cminor7', 'Cm7'],
        ['Cmajor7', 'Cmaj7'],
        ['CMIN7', 'Cm7'],
        ['Cm/maj7', 'CmM7'],
        ['C°7', 'Cdim7'],
      ] as const),
    ];
    for (const [ours, theirs] of same) {
      const m = /^(.[b#]?)(.*)$/.exec(theirs) as RegExpExecArray;
      const content = tonalChordTones(m[1] as string, m[2] as string);
      expect(content, theirs).not.toBeNull();
      expect(names(chord(ours).tones), ours).toBe(names(content ?? []));
    }
    expect(same).toHaveLength(24);
  });
});

describe('spelling', () => {
  it.each([
    ['Cb7', 'Cb Eb Gb Bbb'],
    ['Ebmaj7', 'Eb G Bb D'],
    ['C#7#9', 'C# E# G# B D##'],
    ['Cm11', 'C Eb G Bb D F'],
    ['C6/9', 'C E G A D'],
    ['D6/9/A', 'D F# A B E'],
    ['C13sus4', 'C F G Bb D A'],
    ['C7b13', 'C E Bb Ab'],
    ['C7b9b13', 'C E G Bb Db Ab'],
    ['Calt', 'C E G# Bb D#'],
    ['Fb', 'Fb Ab Cb'],
    // B triple-flat and E triple-flat do not exist on paper.
    ['Cbdim7', 'Cb Ebb Gbb Ab'],
    ['Fbdim7', 'Fb Abb Cbb Db'],
  ])('%s is %s', (text, tones) => expect(spelt(text)).toBe(tones));

  it('keeps the slash bass apart, and takes the 9 of 6/9 for none', () => {
    expect(chord('D6/9/A').bass).toEqual({ letter: 'A', alter: 0 });
    expect(chord('C6/9').bass).toBeNull();
    expect(chord('C/C').bass).toBeNull();
    expect(chord('B♭m7/A♭').bass).toEqual({ letter: 'A', alter: -1 });
    expect(chord('  G7 ').text).toBe('G7');
  });

  it('names the quality', () => {
    const cases = { C: 'major', Am: 'minor', G7: 'dominant', Bdim: 'diminished', Bo7: 'diminished' } as const;
    const more = {
      Bø: 'half-diminished',
      Caug: 'augmented',
      C7sus4: 'suspended',
      C5: 'power',
      C11: 'suspended',
    } as const;
    for (const [text, quality] of Object.entries({ ...cases, ...more }))
      expect(chord(text).quality, text).toBe(quality);
  });
});

/** The schema's documentation of kind-value (W3C MusicXML 4.0), as semitones above the root by degree. */
const SCHEMA_KINDS: Readonly<Record<string, Readonly<Record<number, number>>>> = (() => {
  const major = { 1: 0, 3: 4, 5: 7 };
  const minor = { 1: 0, 3: 3, 5: 7 };
  const dominant = { ...major, 7: 10 };
  const maj7 = { ...major, 7: 11 };
  const min7 = { ...minor, 7: 10 };
  const ninth = { 9: 14 };
  const eleventh = { ...ninth, 11: 17 };
  const thirteenth = { ...eleventh, 13: 21 };
  const diminished = { 1: 0, 3: 3, 5: 6 };
  return {
    major,
    minor,
    augmented: { 1: 0, 3: 4, 5: 8 },
    diminished,
    dominant,
    'major-seventh': maj7,
    'minor-seventh': min7,
    'diminished-seventh': { ...diminished, 7: 9 },
    'augmented-seventh': { 1: 0, 3: 4, 5: 8, 7: 10 },
    'half-diminished': { ...diminished, 7: 10 },
    'major-minor': { ...minor, 7: 11 },
    'major-sixth': { ...major, 6: 9 },
    'minor-sixth': { ...minor, 6: 9 },
    'dominant-ninth': { ...dominant, ...ninth },
    'major-ninth': { ...maj7, ...ninth },
    'minor-ninth': { ...min7, ...ninth },
    'dominant-11th': { ...dominant, ...eleventh },
    'major-11th': { ...maj7, ...eleventh },
    'minor-11th': { ...min7, ...eleventh },
    'dominant-13th': { ...dominant, ...thirteenth },
    'major-13th': { ...maj7, ...thirteenth },
    'minor-13th': { ...min7, ...thirteenth },
    'suspended-second': { 1: 0, 2: 2, 5: 7 },
    'suspended-fourth': { 1: 0, 4: 5, 5: 7 },
    power: { 1: 0, 5: 7 },
  };
})();
const ON_DOMINANT: Readonly<Record<number, number>> = {
  1: 0,
  2: 2,
  3: 4,
  4: 5,
  5: 7,
  6: 9,
  7: 10,
  9: 14,
  11: 17,
  13: 21,
};

/** What a reader of MusicXML makes of kind and degrees: [degree, pitch class above the root]. */
function fromMusicXml(c: Chord): string[] {
  const tones: [number, number][] = Object.entries(SCHEMA_KINDS[c.kind] ?? {}).map(([d, s]) => [
    Number(d),
    s,
  ]);
  for (const degree of c.degrees) {
    const at = tones.findIndex(([d]) => d === degree.value);
    if (degree.type === 'add')
      tones.push([degree.value, (ON_DOMINANT[degree.value] as number) + degree.alter]);
    else if (at < 0) throw new Error(`${c.text}: no degree ${degree.value} in ${c.kind}`);
    else if (degree.type === 'subtract') tones.splice(at, 1);
    else (tones[at] as [number, number])[1] += degree.alter;
  }
  return tones.map(([d, s]) => `${d}:${s % 12}`).sort();
}

describe('every symbol of the grammar', () => {
  it('is read, expands from its MusicXML kind to the same tones, and comes back from its plain symbol', () => {
    let count = 0;
    for (const suffix of SUFFIXES) {
      for (const root of ['C', 'Eb', 'F#']) {
        const c = chord(join(root, suffix));
        const above = c.tones.map((t) => `${t.degree}:${(t.pc - (c.tones[0]?.pc ?? 0) + 12) % 12}`).sort();
        expect(fromMusicXml(c), c.text).toEqual(above);
        const again = chord(chordSymbol(c));
        expect(names(again.tones), `${c.text} as ${again.text}`).toBe(names(c.tones));
        expect([again.kind, again.root, again.bass]).toEqual([c.kind, c.root, c.bass]);
        count++;
      }
    }
    expect(count).toBe(3 * SUFFIXES.length);
    expect(SUFFIXES.length).toBeGreaterThan(1000);
  });

  it('is written once only: no two rows claim the same writing', () => {
    const all = SUFFIX_ROWS.flatMap((row) => row.writings);
    expect(new Set(all).size).toBe(all.length);
  });

  it.each([
    ['Cmaj7', 'major-seventh', []],
    ['C7', 'dominant', []],
    ['Cm7b5', 'half-diminished', []],
    ['CmM7', 'major-minor', []],
    ['C9', 'dominant-ninth', []],
    ['Caug7', 'augmented-seventh', []],
    ['C13', 'dominant-13th', [{ value: 11, alter: 0, type: 'subtract' }]],
    ['C6/9', 'major-sixth', [{ value: 9, alter: 0, type: 'add' }]],
    ['C7b9', 'dominant', [{ value: 9, alter: -1, type: 'add' }]],
    ['C7sus4', 'suspended-fourth', [{ value: 7, alter: 0, type: 'add' }]],
    ['Cdim(maj7)', 'diminished', [{ value: 7, alter: 1, type: 'add' }]],
    ['C9b5', 'dominant-ninth', [{ value: 5, alter: -1, type: 'alter' }]],
  ])('%s is %s', (text, kind, degrees) => {
    expect(chord(text).kind).toBe(kind);
    expect(chord(text).degrees).toEqual(degrees);
  });
});
