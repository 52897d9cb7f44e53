// Pedal marks held against the notes, on small parts worked out by hand.
import { describe, expect, it } from 'vitest';
import { ticks } from '../../src/base/units';
import { NATURAL_SETTING, keySetting } from '../../src/harp/setting';
import { pitch, planned as passageOf } from '../playability/build';
import { checkPart } from '../../src/proposals/check';
import { type PedalMarks, planFromMarks } from '../../src/proposals/marks';
import { CONCERT_HARP } from '../../src/harp/instrument';
import { sentence } from '../../src/playability/sentences';

/** Notes one quarter apart at ♩ = 60, and marks: `at` in quarters. */
function part(
  names: string,
  words: readonly (readonly [number, string])[],
  diagrams: readonly (readonly [number, number])[] = [[0, NATURAL_SETTING]],
) {
  const { passage } = passageOf(names.split(' ').map((n, i) => ({ at: i, names: n })));
  const markings: PedalMarks = {
    settings: diagrams.map(([at, setting]) => ({ onset: ticks(at * 3360), setting })),
    moves: words.map(([at, name]) => {
      const { letter, alter } = pitch(`${name}4`);
      return { onset: ticks(at * 3360), letter, to: alter as -1 | 0 | 1 };
    }),
  };
  return { passage, markings };
}
const said = (p: ReturnType<typeof part>): string[] =>
  checkPart(p)
    .problems.filter((x) => x.code === 'wrong-pedal' || x.code === 'pedal-mark')
    .map((x) => {
      const at = x.where.kind === 'music' ? x.where.onset / 3360 : -1;
      return `${x.severity} ${x.detail?.['kind']} ${at} ${x.value}`;
    });

describe('marks against notes', () => {
  it('that fit are passed over', () => {
    expect(said(part('F4 G4 F#4 G4', [[1, 'F#']]))).toEqual([]);
    expect(said(part('F4 G4 F#4 G4', [[2, 'F#']]))).toEqual([]);
    expect(said(part('F4 G4 F#4 G4', [[0, 'F#']]))).toEqual([]);
  });
  it('that are missing are one problem for all notes until the next mark', () => {
    const p = part('F4 F#4 G4 F#4 F4', []);
    expect(said(p)).toEqual(['error missing 1 F♯']);
    const wrong = checkPart(p).problems.find((x) => x.code === 'wrong-pedal');
    expect(wrong?.where).toMatchObject({ ids: ['n1a', 'n3a'] });
    expect(sentence(wrong as never, p.passage.bars)).toBe(
      'Bar 1, beat 2: F♯ is written, but the pedal still stands at F: a mark for F♯ is missing (two times until the next mark).',
    );
  });
  it('that come late, early or wrong are told apart, with the mark concerned', () => {
    expect(said(part('F4 F#4 G4 F#4', [[2, 'F#']]))).toEqual(['error late 1 F♯']);
    expect(said(part('G4 F4 G4 F#4', [[0.5, 'F#']]))).toEqual(['error early 1 F']);
    expect(said(part('F4 G4 F#4', [[1, 'Fb']]))).toEqual(['warning unused 1 F♭', 'error contradicts 2 F♯']);
    const late = part('F4 F#4 G4 F#4', [[2, 'F#']]);
    const problem = checkPart(late).problems.find((x) => x.code === 'wrong-pedal');
    expect(sentence(problem as never, late.passage.bars)).toBe(
      'Bar 1, beat 2: F♯ is written, but the pedal still stands at F: the mark F♯ in bar 1, beat 3, comes 1 s too late.',
    );
  });
  it('in the opening diagram that contradict the first notes say so', () => {
    expect(said(part('F4 G4 A4', [], [[0, keySetting(1)]]))).toEqual(['error opening 0 F']);
  });
  it('that do nothing are warned of', () => {
    expect(said(part('F4 G4 A4', [[1, 'F']]))).toEqual(['warning standing 1 F']);
    expect(said(part('F4 G4 A4', [[1, 'F#']]))).toEqual(['warning unused 1 F♯']);
  });
  it('of a later diagram are moves before it, one after another for each foot', () => {
    // E♭ A♭ with the right foot, B♭ with the left, by the fourth beat; the letters rest from the second on.
    const p = part(
      'E4 D4 D4 Eb4 Ab4 Bb4',
      [],
      [
        [0, NATURAL_SETTING],
        [3, keySetting(-3)],
      ],
    );
    const { problems, planned } = checkPart(p);
    expect(problems.filter((x) => x.severity === 'error')).toEqual([]);
    expect(planned.moves.map((m) => m.letter).sort()).toEqual(['A', 'B', 'E']);
    const right = planned.moves.filter((m) => m.foot === 'right').map((m) => m.onset);
    expect((right[1] as number) - (right[0] as number)).toBeGreaterThanOrEqual(840);
  });
  it('without an opening diagram are read from what the first notes need', () => {
    const p = part('F4 G4 F#4 G4', [[1, 'F#']], []);
    expect(planFromMarks(p.passage, p.markings, CONCERT_HARP)).toBeNull();
    expect(checkPart(p).pedals).toBe('marked');
    // All seven pedals are looked for before the first note (Sibelius Academy).
    expect(said(p)).toEqual(['warning no-opening 0 no full setting']);
    expect(said(part('F4 F#4 G4 F#4', [[2, 'F#']], []))).toEqual([
      'warning no-opening 0 no full setting',
      'error late 1 F♯',
    ]);
    // One stray word is no plan: the part is judged as printed.
    const stray = part('C4 C#4 D4 D#4 G4 G#4 C4 D4 G4 A4', [[9, 'A']], []);
    expect(checkPart(stray).pedals).toBe('as-printed');
    expect(said(stray)).toEqual([]);
  });
  it('want all seven pedals shown before a glissando (Sibelius Academy)', () => {
    const E_FLAT = keySetting(-2);
    const sweep = (at: number, setting: number) =>
      ({ at, lasts: 1, hand: 'R', from: 14, to: 34, settings: [setting] }) as const;
    const { passage } = passageOf([{ at: 0, names: 'C4' }], {
      sweeps: [sweep(2, E_FLAT), sweep(4, E_FLAT)],
    });
    const say = (settings: PedalMarks['settings'], moves: PedalMarks['moves'] = []) =>
      said({ passage, markings: { settings, moves } });
    const start = { onset: ticks(0), setting: NATURAL_SETTING };
    const before = { onset: ticks(2 * 3360), setting: E_FLAT };
    expect(say([start, before])).toEqual([]);
    const words = (['B', 'E'] as const).map((letter) => ({ onset: ticks(3360), letter, to: -1 as const }));
    // Told by words only: shown nowhere as a whole. Once for both sweeps.
    expect(say([start], words)).toEqual(['warning glissando 2 no full setting']);
    expect(say([])).toEqual(['warning glissando 2 no full setting']);
    const problem = checkPart({ passage, markings: { settings: [], moves: [] } }).problems[0];
    expect(sentence(problem as never, passage.bars)).toBe(
      'Bar 1, beat 3: the glissando has no full setting before it: show all seven pedals there (D C B♭ | E♭ F G A).',
    );
  });
  it('are judged in every pass of a repeat: music that repeats comes back with the setting it began with', () => {
    // Bars 1 and 2 played twice, with F♯ marked in bar 2 and no F before the repeat.
    const notes = ['F4', 'F#4', 'F4', 'F#4'].map((names, i) => ({ at: 4 * i, names }));
    const { passage } = passageOf(notes);
    const bars = passage.bars.slice(0, 4).map((bar, i) => ({
      ...bar,
      number: String((i % 2) + 1),
      written: i % 2,
      pass: i < 2 ? 1 : 2,
    }));
    const moves = [4, 12].map((at) => ({ onset: ticks(at * 3360), letter: 'F' as const, to: 1 as const }));
    const settings = [{ onset: ticks(0), setting: NATURAL_SETTING }];
    const { problems } = checkPart({ passage: { ...passage, bars }, markings: { settings, moves } });
    const wrong = problems.filter((x) => x.severity === 'error');
    expect(wrong.map((x) => sentence(x, bars))).toEqual([
      'Bar 1, second time, beat 1: F is written, but the pedal still stands at F♯: a mark for F is missing.',
    ]);
  });
});
