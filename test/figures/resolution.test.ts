// Sevenths and leading tones go on: by hand on single chords, and counted over every family.
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random';
import { FAMILIES } from '../../src/figures/families';
import { resolved, tendencies } from '../../src/figures/resolution';
import { CONCERT_HARP } from '../../src/harp/instrument';
import { midiOf } from '../../src/music/pitch';
import { chordNamed, progressionOf } from './progressions';

const asks = (from: string, to: string): Record<number, readonly number[]> =>
  Object.fromEntries(
    tendencies(chordNamed(from), chordNamed(to))
      .map((steps, pc) => [pc, steps] as const)
      .filter(([, steps]) => steps.length > 0),
  );

describe('tones that want to go on', () => {
  it('are the seventh and the leading tone of a dominant', () => {
    // F falls to E, B rises to C: Piston, Harmony, on the resolution of the dominant seventh.
    expect(asks('G7', 'C')).toEqual({ 5: [-1], 11: [1] });
    // To minor the seventh falls a whole step.
    expect(asks('G7', 'Cm')).toEqual({ 5: [-2], 11: [1] });
    // A chain of dominants: the third slides down to the next seventh.
    expect(asks('D7', 'G7')).toEqual({ 0: [-1], 6: [1, -1] });
    // The substitute a half-step above its goal.
    expect(asks('Db7', 'C')[5]).toEqual([-1]);
    // No dominant: only the seventh asks, and may stay.
    expect(asks('Dm7', 'G7')).toEqual({ 0: [-1] });
    expect(asks('Cmaj7', 'Am7')).toEqual({ 11: [-2, 1] });
    expect(asks('G7', 'G7')).toEqual({});
    expect(asks('C', 'F')).toEqual({});
  });

  it('are counted key by key', () => {
    const v = tendencies(chordNamed('G7'), chordNamed('C'));
    expect(resolved([65, 71, 74], [64, 72, 76], v)).toEqual({ asked: 2, kept: 2 });
    // An octave away is no resolution; nor is a leading tone that falls.
    expect(resolved([65, 71], [76, 67], v)).toEqual({ asked: 2, kept: 0 });
  });
});

const TEXTS = [
  'Ebmaj7 | Cm9 | Fm7 Bb7b9 | Eb6/9 | Abmaj7 | Am7b5 D7b9 | Gm7 C7 | Fm7 Bb13',
  'Gm | Eb | Cm | D7 | Gm/D | Cm/Eb | D7 | Gm',
  'Ab | Db/Ab | Eb7/G | Ab | Fm | Bbm | Eb7 | Ab',
];

describe('the right hands of all families', () => {
  it('take on at least 84 in a hundred of the tones that want to go on', () => {
    let [asked, kept] = [0, 0];
    for (const family of FAMILIES)
      for (const [i, text] of [...TEXTS, ...TEXTS].entries()) {
        const progression = progressionOf(text, { beats: 4, unit: 4 });
        const draft = family.draft({
          progression,
          title: '',
          milliBpm: 90_000,
          instrument: CONCERT_HARP,
          random: seededRandom(`resolve ${i}`),
        });
        if (!draft.ok) continue;
        const keys = progression.chords.map(({ onset, duration }) => {
          const inside = draft.value.passage.plucks.filter(
            (p) => p.hand === 'R' && p.onset >= onset && p.onset < onset + duration,
          );
          return [...new Set(inside.map((p) => midiOf(p.pitch)))];
        });
        progression.chords.slice(1).forEach(({ chord }, n) => {
          const before = progression.chords[n]?.chord;
          if (chord === null || before === null || before === undefined) return;
          const here = resolved(keys[n] as number[], keys[n + 1] as number[], tendencies(before, chord));
          asked += here.asked;
          kept += here.kept;
        });
      }
    expect(asked).toBeGreaterThan(600);
    // 81 where voicings do not look at them.
    expect(Math.floor((100 * kept) / asked)).toBeGreaterThanOrEqual(84);
  });
});
