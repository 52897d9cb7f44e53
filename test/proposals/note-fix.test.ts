// Notes whose spelling is fixed: what is read, what it names, what the planner answers, and each mistake's sentence.
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random';
import { noteTicks, ticks } from '../../src/base/units';
import { makeBars } from '../../src/music/metre';
import type { Passage, Pluck } from '../../src/music/passage';
import type { Pitch } from '../../src/music/pitch';
import { defaultPlanOptions, planPassage } from '../../src/pedals/plan';
import {
  noteFixName,
  parseNoteFixes,
  spellingsOfFixes,
  withNoteFixes,
  withNoteFixesWhere,
} from '../../src/proposals/note-fix';
import { randomPassage } from '../pedals/random-passage';

const pluck = (id: string, at: number, letter: Pitch['letter'], alter: -1 | 0 | 1, octave = 4): Pluck => ({
  id,
  onset: noteTicks(at, 16),
  duration: noteTicks(4, 16),
  pitch: { letter, alter, octave },
  hand: null,
  finger: null,
  technique: 'ordinary',
  dynamic: 'mf',
});
const passage: Passage = {
  title: '',
  bars: makeBars({ beats: 4, unit: 4 }, 2),
  tempo: [{ onset: ticks(0), milliBpm: 90_000 }],
  fifths: 0,
  plucks: [pluck('a', 0, 'C', 0), pluck('b', 4, 'D', 1), pluck('c', 4, 'D', 1, 5), pluck('d', 20, 'B', 0, 3)],
  rolls: [],
  sweeps: [],
  trembles: [],
  chords: [],
  damps: [],
};
const fixesOf = (text: string) => {
  const read = parseNoteFixes(text);
  if (!read.ok) throw new Error(read.problems.join(' '));
  return read.value;
};
const sentences = (text: string): readonly string[] => {
  const read = parseNoteFixes(text);
  if (!read.ok) return read.problems;
  const done = withNoteFixes(passage, read.value);
  return done.ok ? [] : done.problems;
};

describe('notes whose spelling is fixed', () => {
  it('are named by bar, beat and spelling in several ways', () => {
    const eflat = { bar: '1', beat: 2, letter: 'E', alter: -1, octave: null };
    for (const text of [
      'bar 1 beat 2 Eb',
      'bar 1, beat 2: E♭',
      '1:2 Eb',
      '1.2:eb',
      '1 2 Eb',
      'Bar 1 Beat 2 e♭',
    ])
      expect(fixesOf(text)).toEqual([eflat]);
    expect(fixesOf('1:2 Eb4; 2:1.5 F#')).toEqual([
      { ...eflat, octave: 4 },
      { bar: '2', beat: 1.5, letter: 'F', alter: 1, octave: null },
    ]);
    expect(fixesOf('2:2 1/2 Cn3')[0]).toMatchObject({ beat: 2.5, alter: 0, octave: 3 });
    expect(fixesOf('2:10.25 A')[0]).toMatchObject({ bar: '2', beat: 10.25 });
    expect(fixesOf('12:3 B')[0]).toMatchObject({ bar: '12', beat: 3 });
    expect(fixesOf('1:2 Eb').map(noteFixName)).toEqual(['bar 1, beat 2: E♭']);
  });
  it('name every note there that sounds so, or the one of an octave', () => {
    const spelt = spellingsOfFixes(passage, fixesOf('1:2 Eb'));
    expect(spelt.ok && [...spelt.value]).toEqual([
      ['b', { letter: 'E', alter: -1, octave: 4 }],
      ['c', { letter: 'E', alter: -1, octave: 5 }],
    ]);
    const one = spellingsOfFixes(passage, fixesOf('1:2 Eb5'));
    expect(one.ok && [...one.value.keys()]).toEqual(['c']);
    // The letter's octave counts: B3 is C♭4.
    const flat = spellingsOfFixes(passage, fixesOf('2:2 Cb4'));
    expect(flat.ok && [...flat.value]).toEqual([['d', { letter: 'C', alter: -1, octave: 4 }]]);
  });
  it('are spelt so by the planner in both aims', () => {
    for (const aim of ['practical', 'fewest'] as const) {
      const done = withNoteFixes(passage, fixesOf('1:2 Eb4; 2:2 Cb'));
      if (!done.ok) throw new Error(done.problems.join(' '));
      const answer = planPassage(done.value, { ...defaultPlanOptions, aim });
      if (answer.status === 'unplayable') throw new Error('unplayable');
      const byId = new Map(answer.planned.passage.plucks.map((p) => [p.id, p.pitch]));
      expect(byId.get('b')).toMatchObject({ letter: 'E', alter: -1 });
      expect(byId.get('d')).toMatchObject({ letter: 'C', alter: -1, octave: 4 });
    }
  });
  it('never lower the price', () => {
    const random = seededRandom('fixed by hand');
    let raised = 0;
    for (let i = 0; i < 12; i++) {
      const music = randomPassage(random, { onsets: 8, most: 3, milliBpm: 66_000 });
      const note = random.pick(music.plucks);
      const fixed = withNoteFixesWhere(music, [
        { bar: '1', beat: 1 + (note.onset % (4 * 3360)) / 3360, ...note.pitch, alter: note.pitch.alter as 0 },
      ]);
      const [free, held] = [music, fixed].map((p) => planPassage(p, defaultPlanOptions));
      if (free?.status !== 'optimal' || held?.status !== 'optimal') continue;
      expect(held.price.points).toBeGreaterThanOrEqual(free.price.points);
      if (held.price.points > free.price.points) raised++;
    }
    expect(raised).toBeGreaterThan(0);
  });
  it('that name nothing are told in one sentence each', () => {
    expect(sentences('')).toEqual([
      'A spelling is fixed by its place: “bar 3 beat 2 Eb”, or “3:2 Eb4” for one octave.',
    ]);
    expect(sentences('Eb in bar 3')).toEqual([
      '“Eb in bar 3” is no place with a spelling: write “bar 3 beat 2 Eb”, or “3:2 Eb4” for one octave.',
    ]);
    expect(sentences('1:2 Ebb')).toEqual([
      '“1:2 Ebb”: no pedal makes a double sharp or double flat; fix a flat, a natural or a sharp.',
    ]);
    expect(sentences('1:0 Eb')).toEqual(['“1:0 Eb”: beats are counted from 1.']);
    expect(sentences('7:1 Eb')).toEqual(['There is no bar 7: bars run from 1 to 2.']);
    expect(sentences('1:6 Eb')).toEqual(['Bar 1 ends before beat 6: it has 4.']);
    expect(sentences('1:3 Eb')).toEqual(['Nothing is struck at bar 1, beat 3.']);
    expect(sentences('1:2 F')).toEqual(['No note at bar 1, beat 2 sounds as F: there are D♯4, D♯5.']);
    expect(sentences('1:2 Eb6')).toEqual(['No note at bar 1, beat 2 sounds as E♭6: there are D♯4, D♯5.']);
    expect(sentences('1:2 Eb; 1:2 D#4')).toEqual([
      'Bar 1, beat 2: D♯4 was fixed in another spelling before.',
    ]);
    expect(sentences('1:2 Eb; nonsense; 1:1 H')).toHaveLength(2);
  });
});
