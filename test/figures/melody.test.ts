// A melody that the user gives: its text, and its accompaniment.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random';
import { finger } from '../../src/figures/fingering';
import { melodySentence, parseMelody } from '../../src/figures/melody';
import { melodyFamily } from '../../src/figures/melody-family';
import { CONCERT_HARP } from '../../src/harp/instrument';
import { stringOf } from '../../src/harp/strings';
import { parseProgression } from '../../src/harmony/progression';
import { midiOf } from '../../src/music/pitch';
import { defaultPlanOptions, planPassage } from '../../src/pedals/plan';
import { judge } from '../../src/playability/judge';

const Q = 3360;
const TUNE = 'G4:1 C5:2 D5:1 | Eb5:1.5 D5:1/2 C5:2 | D5:2 F5:1 D5:1 | r:1 C5:3';
const CHORDS = 'C | Cm | G7 | C';

const notesOf = (text: string) => {
  const read = parseMelody(text);
  if (!read.ok) throw new Error(read.problems.map(melodySentence).join(' '));
  return read.value;
};
const draftOf = (text: string, seed: string, bpm = 84) =>
  melodyFamily(notesOf(text)).draft({
    progression: parseProgression(CHORDS, { metre: { beats: 4, unit: 4 }, key: null }),
    title: '',
    milliBpm: bpm * 1000,
    instrument: CONCERT_HARP,
    random: seededRandom(seed),
  });

describe('melody text', () => {
  it('reads notes, lengths, rests and bar lines', () => {
    const notes = notesOf('C5:2 r d#5:1/2 | Eb4');
    expect(notes.map((n) => [n.onset / Q, n.duration / Q, midiOf(n.pitch), n.pitch.letter])).toEqual([
      [0, 2, 72, 'C'],
      [3, 0.5, 75, 'D'],
      [3.5, 1, 63, 'E'],
    ]);
  });

  it.each([
    [
      'C5:2 H5',
      'Word 2 of the melody, “H5”, should be a note such as C5:2, Eb5 or F#4:1/2, or a rest such as r:1.',
    ],
    [
      'C5:0',
      'Word 1 of the melody, “C5:0”, should be a length of a thirty-second or more that can be written.',
    ],
    [
      'C5:1/0',
      'Word 1 of the melody, “C5:1/0”, should be a length of a thirty-second or more that can be written.',
    ],
    ['C2', 'Word 1 of the melody, “C2”, should be a note that the right hand reaches, from E2 to G7.'],
    ['  | ', 'The melody is empty: there should be at least one note, such as C5:2.'],
  ])('says what is wrong with %j', (text, sentence) => {
    const read = parseMelody(text);
    expect(read.ok).toBe(false);
    if (!read.ok) expect(read.problems.map(melodySentence)).toEqual([sentence]);
  });

  it('never throws', () => {
    fc.assert(
      fc.property(fc.string(), (text) => {
        parseMelody(text);
      }),
      { seed: 5, numRuns: 300 },
    );
  });
});

describe('an accompanied melody', () => {
  it('is sung note for note by the right hand, on top, over the bass of each chord', () => {
    const variants = new Set<string>();
    for (let i = 0; i < 40; i++) {
      const made = draftOf(TUNE, `m${i}`);
      expect(made.ok).toBe(true);
      if (!made.ok) continue;
      variants.add(made.value.variant);
      const { plucks } = made.value.passage;
      for (const n of notesOf(TUNE)) {
        const at = plucks.filter((p) => p.onset === n.onset);
        const top = at.reduce((a, b) => (stringOf(b.pitch) > stringOf(a.pitch) ? b : a));
        expect([midiOf(top.pitch), top.duration, top.hand]).toEqual([midiOf(n.pitch), n.duration, 'R']);
      }
      for (const bar of [0, 1, 2, 3]) {
        const inside = plucks.filter((p) => p.onset >= bar * 4 * Q && p.onset < (bar + 1) * 4 * Q);
        const low = inside.reduce((a, b) => (midiOf(b.pitch) < midiOf(a.pitch) ? b : a));
        expect([low.hand, midiOf(low.pitch) % 12]).toEqual(['L', bar === 2 ? 7 : 0]);
      }
    }
    expect(variants.size).toBeGreaterThanOrEqual(6);
  });

  it('can be played: planned, fingered and judged without an error', () => {
    for (const seed of ['a', 'b', 'c', 'd', 'e', 'f']) {
      const made = draftOf(TUNE, seed);
      if (!made.ok) throw new Error(seed);
      const plan = planPassage(made.value.passage, { ...defaultPlanOptions, instrument: CONCERT_HARP });
      expect(plan.status, seed).not.toBe('unplayable');
      if (plan.status === 'unplayable') continue;
      expect(judge(finger(plan.planned)).filter((p) => p.severity === 'error')).toEqual([]);
    }
  });

  it('refuses a melody longer than its chords, and one too fast for a hand', () => {
    const long = draftOf('C5:20', 'x');
    expect(long.ok ? null : long.problems[0]?.limit).toBe('4 bars');
    const fast = draftOf('C5:1/8 D5:1/8 E5:1/8 F5:1/8 G5:1/8 A5:1/8 B5:1/8 C6:1/8', 'x', 160);
    expect(fast.ok ? null : fast.problems[0]?.code).toMatch(/speed/);
  });
});
