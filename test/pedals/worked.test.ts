// Worked cases of the pedal plan: clashes, conflicts that stay minimal, discless strings, trembles, haste, demands.
import { describe, expect, it } from 'vitest';
import { noteTicks, ticks } from '../../src/base/units';
import { CONCERT_HARP, INSTRUMENTS } from '../../src/harp/instrument';
import { NATURAL_SETTING } from '../../src/harp/setting';
import { makeBars } from '../../src/music/metre';
import type { Passage, Pluck, Tremble } from '../../src/music/passage';
import type { Alter, Letter } from '../../src/music/pitch';
import { stopsOf } from '../../src/pedals/demands';
import { defaultPlanOptions, planPassage } from '../../src/pedals/plan';
import { mergePartials, partialOf } from '../../src/pedals/tables';
import type { PlanAnswer, PlanOptions } from '../../src/pedals/types';
import { passages } from './random-passage';

const fewest: PlanOptions = { ...defaultPlanOptions, aim: 'fewest' };
const movesOf = (a: PlanAnswer): number =>
  a.status === 'unplayable' ? Number.POSITIVE_INFINITY : a.price.moves;

const pluck = (id: string, at: number, name: string, more: Partial<Pluck> = {}): Pluck => {
  const parts = /^([A-G])(bb|b|##|#|)(\d)$/.exec(name) as RegExpExecArray;
  const alter = { bb: -2, b: -1, '': 0, '#': 1, '##': 2 }[parts[2] as string] as Alter;
  return {
    id,
    onset: noteTicks(at, 16),
    duration: noteTicks(1, 16),
    pitch: { letter: parts[1] as Letter, alter, octave: Number(parts[3]) },
    hand: null,
    finger: null,
    technique: 'ordinary',
    dynamic: 'mf',
    ...more,
  };
};
const passageOf = (plucks: Pluck[], milliBpm = 60_000, trembles: Tremble[] = []): Passage => ({
  title: '',
  bars: makeBars({ beats: 4, unit: 4 }, 4),
  tempo: [{ onset: ticks(0), milliBpm }],
  fifths: 0,
  plucks,
  rolls: [],
  sweeps: [],
  trembles,
  chords: [],
  damps: [],
});

describe('worked cases', () => {
  it('respells a clash with a warning; with the spelling kept, names it', () => {
    const clash = passageOf([pluck('a', 0, 'G4'), pluck('b', 0, 'G#4'), pluck('c', 4, 'C4')]);
    const free = planPassage(clash, fewest);
    expect(free.status).toBe('optimal');
    expect(free.problems.map((p) => [p.code, p.severity])).toEqual([['clash', 'warning']]);
    const kept = planPassage(clash, { ...fewest, keepSpelling: true });
    expect(kept.status === 'unplayable' && [...kept.conflict].sort()).toEqual(['a', 'b']);
    expect(kept.problems.map((p) => [p.code, p.severity])).toEqual([['clash', 'error']]);
  });
  it('refuses G–G♯–A together and names all three (Canton & Overlach)', () => {
    const answer = planPassage(
      passageOf([
        pluck('x', 0, 'C4'),
        pluck('g', 4, 'G4'),
        pluck('h', 4, 'G#4'),
        pluck('a', 4, 'A4'),
        pluck('b', 4, 'B4'),
      ]),
      fewest,
    );
    expect(answer.status === 'unplayable' && [...answer.conflict].sort()).toEqual(['a', 'g', 'h']);
  });
  it('refuses what one foot cannot do in time, with a conflict of which each part alone can be played', () => {
    // D, C and B pedals move at once within a tenth of a second.
    const notes = [
      ...['D4', 'C4', 'B4', 'E4', 'F4', 'A4'].map((n, i) => pluck(`o${i}`, 0, n, { fixed: true })),
      ...['Db4', 'C#5', 'Bb4'].map((n, i) => pluck(`n${i}`, 1, n, { fixed: true })),
    ];
    const passage = passageOf(notes, 150_000);
    const answer = planPassage(passage, fewest);
    expect(answer.status).toBe('unplayable');
    if (answer.status !== 'unplayable') return;
    expect(answer.conflict.length).toBeGreaterThan(1);
    const only = (ids: readonly string[]): Passage => ({
      ...passage,
      plucks: passage.plucks.filter((p) => ids.includes(p.id)),
    });
    expect(planPassage(only(answer.conflict), fewest).status).toBe('unplayable');
    for (const id of answer.conflict) {
      expect(planPassage(only(answer.conflict.filter((x) => x !== id)), fewest).status).not.toBe(
        'unplayable',
      );
    }
  });
  it('a minimal conflict stays minimal on seeded passages', () => {
    let seen = 0;
    for (const passage of passages('conflict', 80, 8)) {
      const fast = { ...passage, tempo: [{ onset: ticks(0), milliBpm: 300_000 }] };
      const answer = planPassage(fast, fewest);
      if (answer.status !== 'unplayable') continue;
      seen++;
      const only = (ids: readonly string[]): Passage => ({
        ...fast,
        plucks: fast.plucks.filter((p) => ids.includes(p.id)),
        sweeps: fast.sweeps.filter((s) => ids.includes(s.id)),
      });
      expect(planPassage(only(answer.conflict), fewest).status).toBe('unplayable');
      for (const id of answer.conflict) {
        expect(planPassage(only(answer.conflict.filter((x) => x !== id)), fewest).status).not.toBe(
          'unplayable',
        );
      }
    }
    expect(seen).toBeGreaterThan(10);
  });
  it('respells double flats, always', () => {
    const answer = planPassage(passageOf([pluck('a', 0, 'Bbb3'), pluck('b', 2, 'Ebb4')]), {
      ...fewest,
      keepSpelling: true,
    });
    expect(answer.status).toBe('optimal');
    if (answer.status === 'unplayable') return;
    expect(answer.planned.passage.plucks.map((p) => [p.pitch.letter, p.pitch.alter])).toEqual([
      ['A', 0],
      ['D', 0],
    ]);
    expect(answer.price.respelt).toBe(2);
  });
  it('a discless string takes one inflection for the part, at no move', () => {
    const low = passageOf([
      pluck('a', 0, 'C#1'),
      pluck('b', 2, 'C4'),
      pluck('c', 4, 'C#1'),
      pluck('d', 6, 'C4'),
    ]);
    const answer = planPassage(low, { ...fewest, keepSpelling: true });
    expect(answer.status).toBe('optimal');
    if (answer.status === 'unplayable') return;
    expect(answer.planned.tuning).toEqual({ 0: 1 });
    expect(answer.price.moves).toBe(0);
    const two = passageOf([pluck('a', 0, 'C1'), pluck('b', 4, 'C#1'), pluck('c', 8, 'D1')]);
    const refused = planPassage(two, fewest);
    expect(refused.status === 'unplayable' && [...refused.conflict].sort()).toEqual(['a', 'b', 'c']);
    expect(refused.problems.map((p) => p.code)).toEqual(['discless']);
  });
  it('an unplayable range names the note', () => {
    const answer = planPassage(passageOf([pluck('a', 0, 'C4'), pluck('b', 2, 'A0')]), fewest);
    expect(answer.status === 'unplayable' && answer.conflict).toEqual(['b']);
    expect(answer.problems.map((p) => p.code)).toEqual(['range']);
    const petite = INSTRUMENTS.find((i) => i.id === 'petite-40') ?? CONCERT_HARP;
    expect(planPassage(passageOf([pluck('b', 2, 'G1')]), { ...fewest, instrument: petite }).status).toBe(
      'unplayable',
    );
  });
  it('holds the pedals of a tremble to its end', () => {
    const tremble: Tremble = {
      id: 't',
      onset: noteTicks(0, 16),
      duration: noteTicks(8, 16),
      notes: [
        { id: 't1', pitch: { letter: 'C', alter: 0, octave: 5 }, hand: 'R', fixed: true },
        { id: 't2', pitch: { letter: 'E', alter: 0, octave: 5 }, hand: 'L', fixed: true },
      ],
      dynamic: 'pp',
    };
    const inside = passageOf([pluck('a', 4, 'C#4', { fixed: true })], 60_000, [tremble]);
    const answer = planPassage(inside, fewest);
    expect(answer.status === 'unplayable' && [...answer.conflict].sort()).toEqual(['a', 't1']);
    const after = planPassage(passageOf([pluck('a', 8, 'C#4', { fixed: true })], 60_000, [tremble]), fewest);
    expect(after.status).toBe('optimal');
    expect(after.status !== 'unplayable' && after.planned.moves.map((m) => m.onset)).toEqual([
      noteTicks(8, 16),
    ]);
  });
  it('comes back for a repeat, and an empty passage needs nothing', () => {
    const answer = planPassage(passageOf([pluck('a', 0, 'F4'), pluck('b', 8, 'F#4', { fixed: true })]), {
      ...fewest,
      start: NATURAL_SETTING,
      end: NATURAL_SETTING,
    });
    expect(answer.status !== 'unplayable' && answer.planned.moves.map((m) => [m.letter, m.to])).toEqual([
      ['F', 1],
      ['F', 0],
    ]);
    const empty = planPassage(passageOf([]), { ...fewest, start: NATURAL_SETTING, end: NATURAL_SETTING + 1 });
    expect(movesOf(empty)).toBe(1);
    expect(movesOf(planPassage(passageOf([]), fewest))).toBe(0);
  });
  it('moves on the beat before the need, settled, where there is room; both feet as one gesture', () => {
    const answer = planPassage(
      passageOf([
        ...['D4', 'G4'].map((n, i) => pluck(`a${i}`, 0, n, { fixed: true })),
        pluck('b', 4, 'C4'),
        ...['Db4', 'G#4'].map((n, i) => pluck(`c${i}`, 12, n, { fixed: true })),
      ]),
      fewest,
    );
    expect(answer.status).toBe('optimal');
    if (answer.status === 'unplayable') return;
    expect(answer.planned.moves.map((m) => [m.letter, m.foot, m.onset])).toEqual([
      ['D', 'left', noteTicks(8, 16)],
      ['G', 'right', noteTicks(8, 16)],
    ]);
    expect(answer.price).toMatchObject({ moves: 2, gestures: 1, positions: 2, hasty: 0, respelt: 0 });
  });
  it('warns of haste with the foot, the time found and the comfortable time', () => {
    const notes = [
      ...['D4', 'B4'].map((n, i) => pluck(`a${i}`, 0, n, { fixed: true })),
      ...['Db4', 'Bb4'].map((n, i) => pluck(`b${i}`, 2, n, { fixed: true })),
    ];
    const answer = planPassage(passageOf(notes, 80_000), fewest);
    expect(answer.status).toBe('optimal');
    const [haste] = answer.problems.filter((p) => p.code === 'pedal-haste');
    expect(haste?.severity).toBe('warning');
    expect(haste?.limit).toBe(0.5);
    expect(haste?.value).toBeGreaterThanOrEqual(0.25);
    expect(haste?.value).toBeLessThan(0.5);
  });
  it('a stop asks for one setting of its letters for each way to spell it', () => {
    const [stop] = stopsOf(passageOf([pluck('a', 0, 'Db4'), pluck('b', 0, 'G4')]), fewest, {});
    expect(stop?.ids).toEqual(expect.arrayContaining(['a', 'b']));
    const both = (letter: Letter, alter: -1 | 1): number =>
      mergePartials(partialOf(letter, alter), partialOf('G', 0));
    expect(stop?.options.map((o) => o.needs).sort()).toEqual([both('D', -1), both('C', 1)].sort());
  });
});
