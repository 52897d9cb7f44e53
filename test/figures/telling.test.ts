// The third of a chord, put where a figure missed it: what gives way, what stays, and how often it helps.
import { describe, expect, it } from 'vitest';
import { ticks } from '../../src/base/units';
import type { Note } from '../../src/figures/compose';
import type { Setup } from '../../src/figures/phrase';
import { segmentsOf } from '../../src/figures/segments';
import { telling } from '../../src/figures/telling';
import { parseProgression } from '../../src/harmony/progression';
import { type Pitch, midiOf, pitchName } from '../../src/music/pitch';
import type { Hand } from '../../src/music/passage';
import { propose } from '../../src/proposals/propose';

const METRE = { beats: 4, unit: 4 } as const;
const setupOf = (text: string): Setup =>
  ({ segments: segmentsOf(parseProgression(text, { metre: METRE, key: null })) }) as unknown as Setup;
const note = (at: number, hand: Hand, name: string): Note => {
  const [, letter, sign, octave] = /^([A-G])([b#]?)(\d)$/.exec(name) as RegExpExecArray;
  const pitch = { letter, alter: sign === 'b' ? -1 : sign === '#' ? 1 : 0, octave: Number(octave) } as Pitch;
  return {
    ...{ onset: ticks(at * 3360), duration: ticks(3360), pitch, hand },
    ...{ technique: 'ordinary', dynamic: 'mf', ring: false, roll: null },
  };
};
const names = (notes: readonly Note[]): string => notes.map((n) => pitchName(n.pitch)).join(' ');

describe('the telling tone', () => {
  it('takes the place of an inner doubled note; bass and top stay', () => {
    const bare = [note(0, 'L', 'C3'), note(0, 'L', 'G3'), note(0, 'R', 'C4'), note(0, 'R', 'G4')];
    const made = telling(bare, setupOf('C'));
    expect(names(made)).toBe('C3 G3 E4 G4');
    expect(made.map((n) => n.hand)).toEqual(['L', 'L', 'R', 'R']);
  });
  it('does so wherever the hand plays that note', () => {
    const bare = [0, 1, 2, 3].map((i) => note(i, 'R', ['C4', 'G4', 'C5', 'G4'][i] as string));
    expect(names(telling(bare, setupOf('C')))).toBe('C4 E4 C5 E4');
  });
  it('is the fourth in a suspended chord, and spelt as its chord is', () => {
    const bare = [note(0, 'L', 'G3'), note(0, 'R', 'D4'), note(0, 'R', 'G4'), note(0, 'R', 'D5')];
    expect(names(telling(bare, setupOf('Gsus4')))).toBe('G3 C4 G4 D5');
    const minor = [note(0, 'L', 'C3'), note(0, 'R', 'G4'), note(0, 'R', 'C5'), note(0, 'R', 'G5')];
    expect(names(telling(minor, setupOf('Cm')))).toContain('E♭');
  });
  it.each([
    ['the third is there', 'C', ['C3', 'E4', 'C5']],
    ['the chord has none', 'C5', ['C3', 'G4', 'C5']],
    ['there is only the bass', 'C', ['C3']],
    ['a seventh would be lost', 'C7', ['C3', 'Bb4']],
  ])('changes nothing where %s', (_, chord, keys) => {
    const notes = keys.map((k, i) => note(0, i === 0 ? 'L' : 'R', k));
    expect(names(telling(notes, setupOf(chord)))).toBe(names(notes));
  });
  it('leaves octaves between the hands octaves', () => {
    const both = ['C', 'G', 'C', 'G'].flatMap((letter, i) => [
      note(i, 'L', `${letter}${i < 2 ? 3 : 4}`),
      note(i, 'R', `${letter}${i < 2 ? 4 : 5}`),
    ]);
    const made = telling(both, setupOf('C'));
    for (let i = 0; i < made.length; i += 2)
      expect(midiOf((made[i + 1] as Note).pitch) - midiOf((made[i] as Note).pitch)).toBe(12);
  });
  it('is heard in every chord of a wave, of bells and of broken chords over four progressions', () => {
    for (const family of ['wave', 'bell-octaves', 'hand-to-hand'])
      for (const text of [
        'Am | F | C | G',
        'D | Bm | Em7 A7 | D',
        'Ebmaj7 | Cm7 | Fm9 | Bb7',
        'C | A7b9 | Dm9 | G13',
      ]) {
        const { proposals } = propose({
          ...{ text, metre: METRE, milliBpm: 90_000, seed: '3', count: 1, families: [family] },
          ...{ start: null, aim: 'practical', key: null, title: '' },
        });
        const { passage } = (proposals[0] as (typeof proposals)[number]).planned;
        for (const s of setupOf(text).segments) {
          const pcs = passage.plucks
            .filter((p) => p.onset >= s.onset && p.onset < s.onset + s.duration)
            .map((p) => midiOf(p.pitch) % 12);
          expect([family, text, pcs]).toEqual([
            family,
            text,
            expect.arrayContaining([s.chord.tones.find((t) => t.degree === 3)?.pc]),
          ]);
        }
      }
  });
});
