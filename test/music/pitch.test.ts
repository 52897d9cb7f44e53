// Pitch and spelling, and which strings give which pitch.
import { describe, expect, it } from 'vitest';
import { asciiPitchName, harpSpellings, midiOf, pitchName } from '../../src/music/pitch';
import { CONCERT_HARP, INSTRUMENTS, harpistOctave } from '../../src/harp/instrument';
import { stringName, stringOf, stringPitch } from '../../src/harp/strings';

describe('pitch', () => {
  it('counts keys as MIDI does: C1 = 24, C4 = 60, A4 = 69, G7 = 103', () => {
    const natural = (letter: 'C' | 'A' | 'G', octave: number) => midiOf({ letter, alter: 0, octave });
    expect([natural('C', 1), natural('C', 4), natural('A', 4), natural('G', 7)]).toEqual([24, 60, 69, 103]);
  });
  it('has one string for D, G and A natural, two for the other nine (Sibelius Academy harp notation manual)', () => {
    const single = Array.from({ length: 12 }, (_, i) => i + 60).filter((m) => harpSpellings(m).length === 1);
    expect(single.map((m) => m % 12)).toEqual([2, 7, 9]);
    for (let m = 24; m <= 103; m++) {
      const spellings = harpSpellings(m);
      expect(spellings.length).toBe([2, 7, 9].includes(m % 12) ? 1 : 2);
      expect(spellings.map(midiOf).every((k) => k === m)).toBe(true);
    }
  });
  it('crosses the octave with C flat and B sharp', () => {
    expect(harpSpellings(60).map(asciiPitchName)).toEqual(['C4', 'B#3']);
    expect(harpSpellings(59).map(pitchName)).toEqual(['B3', 'C♭4']);
  });
});

describe('strings', () => {
  it('runs from C1 to G7, 47 of them', () => {
    expect(CONCERT_HARP.highest - CONCERT_HARP.lowest + 1).toBe(47);
    expect([stringName(CONCERT_HARP.lowest), stringName(CONCERT_HARP.highest)]).toEqual(['C1', 'G7']);
  });
  it('sounds from C flat 1 to G sharp 7 (Wikipedia, "Pedal harp")', () => {
    expect([midiOf(stringPitch(0, -1)), midiOf(stringPitch(46, 1))]).toEqual([23, 104]);
  });
  it('has the number of strings each harp is named for', () => {
    for (const harp of INSTRUMENTS) expect(harp.id).toContain(String(harp.highest - harp.lowest + 1));
  });
  it('puts C flat 4 on the string above B3', () => {
    expect(stringOf({ letter: 'C', alter: -1, octave: 4 })).toBe(
      stringOf({ letter: 'B', alter: 0, octave: 3 }) + 1,
    );
  });
  it("counts harpists' octaves from the top: G7 is 00, E7 to F6 the first, middle C in the fourth", () => {
    const octave = (letter: 'C' | 'E' | 'F' | 'G', n: number) =>
      harpistOctave(stringOf({ letter, alter: 0, octave: n }));
    expect([
      octave('G', 7),
      octave('F', 7),
      octave('E', 7),
      octave('F', 6),
      octave('E', 6),
      octave('C', 4),
    ]).toEqual(['00', '0', '1', '1', '2', '4']);
  });
});
