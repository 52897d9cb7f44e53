// Pedal slides that are asked for: what is read, what is planned, what a page offers, and each mistake's sentence.
import { describe, expect, it } from 'vitest';
import { noteTicks, ticks } from '../../src/base/units';
import { slideChoice, withSlide, withoutSlide } from '../../src/app/note-slides';
import { CONCERT_HARP } from '../../src/harp/instrument';
import { makeBars } from '../../src/music/metre';
import type { Passage, Pluck } from '../../src/music/passage';
import type { Pitch } from '../../src/music/pitch';
import { defaultPlanOptions, planPassage } from '../../src/pedals/plan';
import { validatePlan } from '../../src/pedals/validate';
import {
  noteSlideName,
  parseNoteSlides,
  withNoteSlides,
  withNoteSlidesWhere,
} from '../../src/proposals/note-slide';

const pluck = (
  id: string,
  eighth: number,
  letter: Pitch['letter'],
  alter: -1 | 0 | 1,
  octave = 4,
): Pluck => ({
  id,
  onset: noteTicks(eighth, 8),
  duration: noteTicks(1, 8),
  pitch: { letter, alter, octave },
  hand: 'R',
  finger: null,
  technique: 'ordinary',
  dynamic: 'mf',
});
/** E♭ rings for a bar; C is struck twice; A is damped at once. */
const passage: Passage = {
  title: '',
  bars: makeBars({ beats: 4, unit: 4 }, 2),
  tempo: [{ onset: ticks(0), milliBpm: 90_000 }],
  fifths: -3,
  plucks: [
    pluck('e', 0, 'E', -1),
    pluck('c', 0, 'C', 0, 5),
    pluck('c2', 4, 'C', 0, 5),
    { ...pluck('a', 4, 'A', -1, 3), technique: 'etouffe' },
    pluck('low', 8, 'C', 0, 1),
  ],
  rolls: [],
  sweeps: [],
  trembles: [],
  chords: [],
  damps: [],
};
const slidesOf = (text: string) => {
  const read = parseNoteSlides(text);
  if (!read.ok) throw new Error(read.problems.join(' '));
  return read.value;
};
const sentences = (text: string): readonly string[] => {
  const read = parseNoteSlides(text);
  if (!read.ok) return read.problems;
  const done = withNoteSlides(passage, read.value);
  return done.ok ? [] : done.problems;
};

describe('a pedal slide that is asked for', () => {
  it('is planned at its instant by its own pedal, priced as one move, and named', () => {
    const slides = slidesOf('1:1 Eb4 to E at 1:3');
    expect(slides.map(noteSlideName)).toEqual(['bar 1, beat 1: E♭4 to E♮ at bar 1, beat 3']);
    const slid = withNoteSlides(passage, slides);
    if (!slid.ok) throw new Error(slid.problems.join(' '));
    const free = planPassage(passage, defaultPlanOptions);
    const answer = planPassage(slid.value, defaultPlanOptions);
    if (answer.status === 'unplayable' || free.status === 'unplayable') throw new Error('no plan');
    expect(answer.planned.moves).toContainEqual({
      ...{ onset: noteTicks(4, 8), letter: 'E', from: -1, to: 0 },
      foot: 'right',
    });
    expect(answer.price.moves).toBe(free.price.moves + 1);
    expect(validatePlan(slid.value, answer.planned, defaultPlanOptions).faults).toEqual([]);
  });

  it('is answered where it cannot be', () => {
    expect(sentences('1:1 Eb4 to D at 1:3')[0]).toContain('slides to another E');
    expect(sentences('1:1 Eb4 to Eb at 1:3')[0]).toContain('stands already');
    expect(sentences('1:1 Eb4 at 1:3')[0]).toContain('is no slide');
    expect(sentences('1:3 Ab3 to A at 1:4')[0]).toContain('damped at once');
    expect(sentences('1:1 C5 to C# at 1:4')[0]).toContain('no longer rings');
    expect(sentences('1:1 Eb4 to E at 1:1')[0]).toContain('comes after its note');
    expect(sentences('1:1 Eb4 to E at 9:1')[0]).toContain('There is no bar 9');
  });

  it('asks for nothing where its note is not', () => {
    expect(withNoteSlidesWhere(passage, slidesOf('2:2 Eb4 to E at 2:3'))).toEqual(passage);
  });
});

describe('what the page offers for a note', () => {
  const none = { slides: [], set: () => undefined };
  const choice = (id: string, slides = none.slides as ReturnType<typeof slidesOf>) => {
    const { pitch } = passage.plucks.find((p) => p.id === id) as Pluck;
    return slideChoice({ ...none, slides }, passage, CONCERT_HARP, id, pitch);
  };

  it('is each other position, on each half beat on which the string still rings, and all of them can be had', () => {
    const offered = choice('c');
    expect(offered?.goals).toEqual([-1, 1]);
    expect(offered?.places.map((p) => p.beat)).toEqual([1.5, 2, 2.5]);
    const long = choice('e');
    expect(long?.places).toHaveLength(15);
    for (const at of long?.places ?? [])
      for (const to of long?.goals ?? [])
        expect(withNoteSlides(passage, [{ note: long!.note, to, at }]).ok).toBe(true);
  });

  it('is nothing for a damped note, nor for a string without discs', () => {
    expect(choice('a')).toBeNull();
    expect(choice('low')).toBeNull();
  });

  it('tells what was asked, one slide a note, and takes it back', () => {
    const [slide] = slidesOf('1:1 Eb4 to E at 1:3') as [ReturnType<typeof slidesOf>[number]];
    const other = { ...slide, to: 1 as const };
    const list = withSlide(withSlide([], slide), other);
    expect(list).toEqual([other]);
    expect(choice('e', list)?.asked).toEqual(other);
    expect(withoutSlide(list, slide.note)).toEqual([]);
  });
});
