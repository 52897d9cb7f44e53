// Scales for a chord in a key, scales by name, and what a glissando on a chord may sound.

import { describe, expect, it } from 'vitest';
import { chordPitchClasses, parseChord } from '../../src/harmony/chord';
import { glissSets, isSettable, settableCount } from '../../src/harmony/gliss';
import { SUFFIXES, SUFFIX_ROWS } from '../../src/harmony/grammar';
import { type Key, parseKey } from '../../src/harmony/key';
import { parseScale, scaleFor } from '../../src/harmony/scales';
import type { Chord, Spelling } from '../../src/harmony/types';
import { pitchClass, spellingName } from '../../src/music/pitch';

const chord = (text: string): Chord => {
  const read = parseChord(text);
  if (!read.ok) throw new Error(text);
  return read.value;
};
const key = (text: string): Key => parseKey(text) as Key;
const write = (scale: readonly Spelling[]): string =>
  scale.map((s) => spellingName(s.letter, s.alter)).join(' ');
const on = (root: string, suffix: string): string =>
  /^[b#]/.test(suffix) ? `${root}(${suffix})` : root + suffix;

describe('the scale of a chord in a key', () => {
  it.each([
    ['Cmaj7', 'C', 'C D E F G A B'],
    ['Fmaj7', 'C', 'F G A B C D E'],
    ['Dm7', 'C', 'D E F G A B C'],
    ['G7', 'C', 'G A B C D E F'],
    ['D7', 'C', 'D E F♯ G A B C'],
    ['E7', 'C', 'E F G♯ A B C D'],
    // Lydian dominant on the flat seventh and on the substitute of the dominant.
    ['Bb7', 'C', 'B♭ C D E F G A♭'],
    ['Db7', 'C', 'D♭ E♭ F G A♭ B♭ C♭'],
    // Phrygian dominant.
    ['A7b9', 'C', 'A B♭ C♯ D E F G'],
    // The subdominant of minor in major: harmonic major.
    ['Fm6', 'C', 'F G A♭ B C D E'],
    // The altered scale.
    ['Calt', 'F', 'C D♭ E♭ F♭ G♭ A♭ B♭'],
    ['Ebmaj9', 'Eb', 'E♭ F G A♭ B♭ C D'],
    ['Abm6', 'Eb', 'A♭ B♭ C♭ D E♭ F G'],
  ])('%s in %s', (text, name, scale) => expect(write(scaleFor(chord(text), key(name)))).toBe(scale));

  it('has each letter once, one sign at most, rises, and holds the chord, for every row on every root', () => {
    let whole = 0;
    const short = new Set<string>();
    for (const row of SUFFIX_ROWS) {
      for (const root of ['C', 'Db', 'D', 'Eb', 'E', 'F', 'F#', 'Gb', 'G', 'Ab', 'A', 'Bb', 'B', 'Cb']) {
        const c = chord(on(root, row.writings[0] as string));
        for (const name of ['C', 'Ab', 'e']) {
          const scale = scaleFor(c, key(name));
          expect(new Set(scale.map((s) => s.letter)).size).toBe(7);
          expect(scale.every((s) => Math.abs(s.alter) <= 1)).toBe(true);
          const pcs = scale.map((s) => pitchClass(s.letter, s.alter));
          const first = pcs[0] as number;
          expect(first).toBe(c.tones[0]?.pc);
          const rising = pcs.map((pc) => (pc - first + 12) % 12);
          expect(rising, `${c.text} in ${name}`).toEqual([...rising].sort((a, b) => a - b));
          if (chordPitchClasses(c).every((pc) => pcs.includes(pc))) whole++;
          else short.add(row.writings[0] as string);
        }
      }
    }
    expect([...short]).toEqual([]);
    expect(whole).toBe(SUFFIX_ROWS.length * 14 * 3);
  }, 30_000);
});

describe('scales by name', () => {
  it.each([
    ['C whole tone', 'C D E F♯ A♭ B♭'],
    ['A harmonic minor', 'A B C D E F G♯'],
    ['E♭ lydian', 'E♭ F G A B♭ C D'],
    ['F# major', 'F♯ G♯ A♯ B C♯ D♯ E♯'],
    ['C pentatonic', 'C D E G A'],
    ['D natural minor', 'D E F G A B♭ C'],
  ])('%s', (text, scale) => expect(write(parseScale(text) ?? [])).toBe(scale));
  it('refuses the rest', () => {
    for (const text of ['C7', 'C', 'C nonsense', 'H major', '', 'major'])
      expect(parseScale(text), text).toBeNull();
  });
});

describe('sets for a glissando', () => {
  it('knows the 977 sets that can be set (Gotham & Gunn, MTO 22.4; enumeration)', () => {
    expect(settableCount()).toBe(977);
    // G, G sharp and A never together (Canton & Overlach, Composing for Harp).
    expect(isSettable([7, 8, 9])).toBe(false);
    expect(isSettable([0, 2, 4, 5, 7, 9, 11])).toBe(true);
  });

  it('answers four-note chords alone on the roots where they can be set (enumeration)', () => {
    const exact = (suffix: string): string[] =>
      ['C', 'Db', 'D', 'Eb', 'E', 'F', 'F#', 'G', 'Ab', 'A', 'Bb', 'B'].filter(
        (root) => (glissSets(chord(root + suffix))[0] as readonly number[]).length === 4,
      );
    expect(exact('7')).toEqual(['Db', 'E', 'F#', 'Ab', 'B']);
    expect(exact('m7')).toEqual(['Db', 'Eb', 'F', 'Ab', 'Bb']);
    expect(exact('maj7')).toEqual(['Db', 'E', 'F#', 'B']);
    expect(exact('m7b5')).toEqual(['C', 'D', 'F', 'G', 'Bb']);
    expect(exact('dim7')).toHaveLength(12);
    expect(exact('mM7')).toEqual(['Db']);
    expect(exact('aug7')).toEqual(['E']);
    expect(exact('7sus4')).toEqual([]);
    expect(exact('')).not.toContain('G');
  });

  it('is never empty, always settable, ascending, and holds the chord, for every symbol', () => {
    let whole = 0;
    const part = new Set<string>();
    for (const suffix of SUFFIXES) {
      for (const root of ['C', 'F#', 'Ab']) {
        const c = chord(on(root, suffix));
        const sets = glissSets(c);
        expect(sets.length, c.text).toBeGreaterThan(0);
        for (const set of sets) expect(isSettable(set)).toBe(true);
        const best = sets[0] as readonly number[];
        expect(best).toEqual([...best].sort((a, b) => a - b));
        if (chordPitchClasses(c).every((pc) => best.includes(pc))) whole++;
        else part.add(suffix);
      }
    }
    // These no setting holds whole on each of the three roots, with whatever tensions: they give up a tone.
    expect([...part]).toEqual(['13#5b9', '13b9#11', 'maj7(b9)', 'maj7(addb9)']);
    expect(whole).toBe(3 * SUFFIXES.length - 5);
  });
});
