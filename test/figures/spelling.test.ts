// What settings sound, how chords are spelt for strings, and the stretches of a progression.
import { describe, expect, it } from 'vitest';
import { ticks } from '../../src/base/units';
import { segmentsOf, stepFor } from '../../src/figures/segments';
import { ladder, spellChord } from '../../src/figures/spelling';
import { settingsFor } from '../../src/figures/sweeps';
import {
  SETTABLE,
  bitCount,
  pitchClassMask,
  settableTogether,
  settingCrosses,
  settingMask,
  sweepSettings,
} from '../../src/harp/sweep-settings';
import { asciiPitchName } from '../../src/music/pitch';
import { METRES, PROGRESSIONS, chordNamed, progressionOf } from './progressions';

const FOUR = { beats: 4, unit: 4 };

describe('what settings sound', () => {
  it('has the census of the published enumeration (Gotham & Gunn, MTO 22.4, repeated)', () => {
    const sizes = [...SETTABLE].map(bitCount);
    const count = (n: number): number => sizes.filter((s) => s === n).length;
    expect([SETTABLE.size, count(4), count(5), count(6), count(7)]).toEqual([977, 25, 178, 415, 359]);
  });

  it('bars G, G sharp and A together, and no other three neighbours', () => {
    const barred = Array.from({ length: 12 }, (_, pc) => pc).filter(
      (pc) => !settableTogether(pitchClassMask([pc, (pc + 1) % 12, (pc + 2) % 12])),
    );
    expect(barred).toEqual([7]);
  });

  it('finds settings inside a set, those without crossing strings first', () => {
    const wholeTone = pitchClassMask([0, 2, 4, 6, 8, 10]);
    const found = sweepSettings(wholeTone, wholeTone);
    expect(found.length).toBeGreaterThan(0);
    for (const s of found) expect(settingMask(s)).toBe(wholeTone);
    const crossing = found.map(settingCrosses);
    expect(crossing).toEqual([...crossing].sort((a, b) => Number(a) - Number(b)));
    expect(sweepSettings(pitchClassMask([0, 4, 7]), 0)).toEqual([]);
  });

  it.each(['E7', 'Cdim7', 'Bbm7', 'Dm7', 'C', 'G7alt', 'F#m7b5', 'G5', 'Aaug', 'Ebmaj7'])(
    'offers a sweep on %s that sounds its root and third and nothing a semitone over the third',
    (text) => {
      const chord = chordNamed(text);
      for (const coloured of [false, true]) {
        const settings = settingsFor(chord, coloured, 0);
        expect(settings.length).toBeGreaterThan(0);
        for (const s of settings) {
          const mask = settingMask(s);
          const guide = chord.tones.filter((t) => t.degree === 1 || t.degree === 3 || t.degree === 7);
          for (const t of guide) expect((mask >> t.pc) & 1, `${text} ${t.degree}`).toBe(1);
        }
      }
    },
  );
});

describe('spelling', () => {
  const names = (text: string): string[] =>
    ladder(spellChord(chordNamed(text)).tones, 21, 27).map(asciiPitchName);

  it('keeps the symbol’s own spelling where strings hold it', () => {
    expect(names('Ebmaj7')).toEqual(['D4', 'Eb4', 'G4', 'Bb4']);
    expect(names('C#m')).toEqual(['C#4', 'E4', 'G#4']);
  });

  it('respells double signs and letters wanted twice', () => {
    expect(names('Ebm7b5').every((n) => !/bb|##/.test(n))).toBe(true);
    const sharp9 = spellChord(chordNamed('E7#9'));
    expect(new Set(sharp9.tones.map((t) => t.letter)).size).toBe(sharp9.tones.length);
  });

  it('leaves out what no setting can hold, and never root, third or seventh before a tension', () => {
    for (const root of ['C', 'Db', 'D', 'Eb', 'E', 'F', 'F#', 'G', 'Ab', 'A', 'Bb', 'B']) {
      for (const kind of ['7alt', '7#9', '13', 'm11', 'dim7', 'maj7#11']) {
        const chord = chordNamed(root + kind);
        const spelled = spellChord(chord);
        const pcs = [spelled.bass, ...spelled.tones].map((t) => t.pc);
        expect(settableTogether(pitchClassMask(pcs))).toBe(true);
        const letters = new Map([spelled.bass, ...spelled.tones].map((t) => [t.letter, t.alter]));
        for (const t of spelled.tones) expect(letters.get(t.letter)).toBe(t.alter);
        const kept = new Set(spelled.tones.map((t) => t.degree));
        for (const d of [3, 7]) if (chord.tones.some((t) => t.degree === d)) expect(kept.has(d)).toBe(true);
      }
    }
  });
});

describe('stretches', () => {
  it('cuts at bars, joins a chord said twice in a bar, marks the last and leaves N.C. out', () => {
    const p = progressionOf('C C | N.C. | G / Am F | F', FOUR);
    const s = segmentsOf(p);
    expect(s.map((x) => [x.chord.text, x.onset / 3360, x.duration / 3360, x.fresh, x.last])).toEqual([
      ['C', 0, 4, true, false],
      ['G', 8, 2, true, false],
      ['Am', 10, 1, true, false],
      ['F', 11, 1, true, false],
      ['F', 12, 4, false, true],
    ]);
  });

  it('cuts a chord of several bars at each bar line', () => {
    const p = progressionOf('C | C', FOUR);
    const long = { ...p, chords: [{ ...(p.chords[0] as (typeof p.chords)[0]), duration: ticks(26880) }] };
    expect(segmentsOf(long).map((s) => [s.bar, s.duration])).toEqual([
      [0, 13440],
      [1, 13440],
    ]);
  });

  it('takes steps that divide the stretch and are never shorter than wished', () => {
    expect(stepFor(13440, 840)).toBe(840);
    expect(stepFor(5040, 1120)).toBe(1260);
    expect(stepFor(4480, 840)).toBe(1120);
    expect(stepFor(16800, 6720)).toBe(16800);
    expect(stepFor(2688, 840)).toBe(2688);
    for (const metre of METRES) {
      for (const text of PROGRESSIONS)
        for (const s of segmentsOf(progressionOf(text, metre)))
          for (const wished of [420, 560, 840, 1120, 1680, 3360, 5040, 6720]) {
            const step = stepFor(s.duration, wished);
            expect(s.duration % step).toBe(0);
            expect(step >= wished || step === s.duration).toBe(true);
          }
    }
  });
});
