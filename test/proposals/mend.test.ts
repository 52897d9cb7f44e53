// Mending: a worked example for each kind of error, whose least change can be seen with the eye; undoing and applying.
import { describe, expect, it } from 'vitest';
import type { PlannedPassage } from '../../src/harp/planned';
import { pitchName } from '../../src/music/pitch';
import { checkPart } from '../../src/proposals/check';
import type { PedalMarks } from '../../src/proposals/marks';
import { applyRepairs, mendPart } from '../../src/proposals/mend/mend';
import { shownStep } from '../../src/proposals/mend/sentences';
import type { MendAnswer } from '../../src/proposals/mend/types';
import { REPAIR_KINDS } from '../../src/proposals/mend/types';
import { namingTones, noteWeights } from '../../src/proposals/mend/weights';
import { type Extra, type Note, planned } from '../playability/build';

const NO_MARKS: PedalMarks = { settings: [], moves: [] };

const unmarked = (p: PlannedPassage) => ({ passage: p.passage, markings: NO_MARKS });
const marked = (p: PlannedPassage) => ({
  passage: p.passage,
  markings: {
    settings: [{ onset: 0 as Note['at'] as never, setting: p.start }],
    moves: p.moves.map(({ onset, letter, to }) => ({ onset, letter, to })),
  },
});

const errorsOf = (part: Parameters<typeof checkPart>[0]) =>
  checkPart(part).problems.filter((p) => p.severity === 'error');

/** The first repair's steps as 'kind', and the notes of the mended part as 'R C4' by onset. */
function mend(notes: readonly Note[], extra: Extra = {}, how = unmarked) {
  const part = how(planned(notes, extra));
  const errors = errorsOf(part);
  const answer = mendPart(part);
  const kinds = answer.mendings.map((m) => m.repairs[0]?.steps.map((s) => s.kind).join(' + '));
  const sound = answer.part.passage.plucks.map((p) => `${p.hand} ${pitchName(p.pitch)}`);
  return { part, errors, answer, kinds, sound };
}

const clean = (answer: MendAnswer) => {
  expect(answer.remaining).toEqual([]);
  expect(errorsOf(answer.part)).toEqual([]);
};

describe('the least change', () => {
  it('respells one of two inflections of a letter at one onset', () => {
    const { errors, answer, kinds, sound } = mend([
      { at: 0, names: 'C3', hand: 'L' },
      { at: 1, names: 'Eb4', hand: 'L' },
      { at: 1, names: 'E5' },
    ]);
    expect(errors.map((e) => e.code)).toContain('clash');
    expect(kinds).toEqual(['respell']);
    expect(['R E5', 'R F♭5']).toContain(sound.at(-1));
    expect(sound).toHaveLength(3);
    clean(answer);
  });

  it('gives a pedal word another moment where it comes too late', () => {
    const { part, errors, answer, kinds, sound } = mend(
      [
        { at: 0, names: 'B4' },
        { at: 2, names: 'Bb4' },
        { at: 3, names: 'Bb4' },
      ],
      { moves: [{ at: 3, to: 'Bb' }] },
      marked,
    );
    expect(errors.map((e) => e.code)).toContain('wrong-pedal');
    expect(kinds).toEqual(['pedal']);
    expect(sound).toEqual(part.passage.plucks.map((p) => `${p.hand} ${pitchName(p.pitch)}`));
    expect(answer.part.markings.moves).toHaveLength(1);
    expect(answer.part.markings.moves[0]?.onset).toBeLessThanOrEqual(2 * 3360);
    clean(answer);
  });

  it('adds a pedal word that is missing', () => {
    const { answer, kinds } = mend(
      [
        { at: 0, names: 'F4' },
        { at: 2, names: 'F#4' },
        { at: 4, names: 'F4' },
      ],
      {},
      marked,
    );
    expect(kinds).toEqual(['pedal']);
    expect(answer.part.markings.moves.map((m) => m.to)).toEqual([1, 0]);
    clean(answer);
  });

  it('parts two words of one foot that come at once', () => {
    const { errors, answer, kinds } = mend(
      [
        { at: 0, names: 'D4 B4' },
        { at: 4, names: 'Db4 Bb4' },
      ],
      {
        moves: [
          { at: 4, to: 'Db' },
          { at: 4, to: 'Bb' },
        ],
      },
      marked,
    );
    expect(errors.map((e) => e.code)).toContain('pedal-time');
    expect(kinds).toEqual(['pedal']);
    clean(answer);
  });

  it('drops the doubling of a fifth string, not the line, the bass or the third', () => {
    const { errors, answer, kinds, sound } = mend([{ at: 0, names: 'C4 E4 G4 C5 E5' }], {}, (p) =>
      unmarked(p),
    );
    expect(errors.map((e) => e.code)).toContain('four-fingers');
    expect(kinds).toEqual(['drop']);
    expect(sound).toContain('R C4');
    expect(sound).toContain('R E5');
    expect(sound.some((s) => s.includes('G4'))).toBe(true);
    expect(sound).toHaveLength(4);
    clean(answer);
  });

  it('gives the bottom of a wide chord to the other hand', () => {
    const { errors, answer, kinds, sound } = mend([{ at: 0, names: 'C4 E5 G5' }]);
    expect(errors.map((e) => e.code)).toEqual(['span']);
    expect(kinds).toEqual(['hand']);
    expect(sound).toEqual(['L C4', 'R E5', 'R G5']);
    clean(answer);
  });

  it('rolls a wide chord where the other hand is busy', () => {
    const { answer, kinds, sound } = mend([
      { at: 0, names: 'C2 G2 C3 E3', hand: 'L' },
      { at: 0, names: 'B3 F5' },
    ]);
    expect(kinds).toEqual(['roll']);
    expect(sound).toHaveLength(6);
    expect(answer.part.passage.rolls.map((r) => r.plucks.length)).toEqual([2]);
    clean(answer);
  });

  it('gives what the right hand cannot reach to the left', () => {
    const { errors, kinds, sound, answer } = mend([
      { at: 0, names: 'C2' },
      { at: 1, names: 'C4' },
    ]);
    expect(errors.map((e) => e.code)).toContain('reach');
    expect(kinds).toEqual(['hand']);
    expect(sound).toEqual(['L C2', 'R C4']);
    clean(answer);
  });

  it('brings a note that is not on the harp into its compass, by octaves', () => {
    const { errors, kinds, sound, answer } = mend([
      { at: 0, names: 'A7' },
      { at: 2, names: 'C5' },
    ]);
    expect(errors.map((e) => e.code)).toContain('range');
    expect(kinds).toEqual(['octave']);
    expect(sound).toEqual(['R A6', 'R C5']);
    clean(answer);
  });

  it('plucks a quick repeat on the string that sounds the same', () => {
    const { errors, kinds, sound, answer } = mend([
      { at: 0, names: 'Ab4' },
      { at: 1 / 16, names: 'Ab4' },
    ]);
    expect(errors.map((e) => e.code)).toContain('repeat-rate');
    expect(kinds).toEqual(['homophone']);
    expect(sound.map((s) => s.slice(2)).sort()).toEqual(['A♭4', 'G♯4']);
    clean(answer);
  });

  it('plays slower where a repeated string has no homophone and no other hand helps', () => {
    const { kinds, answer } = mend([
      { at: 0, names: 'D4' },
      { at: 1 / 12, names: 'D4' },
    ]);
    expect(kinds).toEqual(['slow']);
    expect(answer.part.passage.tempo[0]?.milliBpm).toBeLessThan(60_000);
    clean(answer);
  });

  it('leaves one string to one hand', () => {
    const { errors, kinds, sound, answer } = mend([
      { at: 0, names: 'C4 G4', hand: 'L' },
      { at: 0, names: 'G4 E5' },
    ]);
    expect(errors.map((e) => e.code)).toEqual(['clash']);
    expect(kinds).toEqual(['drop']);
    expect(sound).toHaveLength(3);
    clean(answer);
  });

  it('shares a run that is too quick for one hand between both', () => {
    const run = ['C4', 'E4', 'G4', 'C5', 'E5', 'G5', 'C6', 'E6'];
    const { errors, kinds, sound, answer } = mend(
      run.map((names, i) => ({ at: i / 8, names })),
      { bpm: 140 },
    );
    expect(errors.map((e) => e.code)).toContain('hand-speed');
    expect(kinds).toEqual(['hand']);
    expect(sound.map((s) => s.slice(2))).toEqual(run);
    clean(answer);
  });

  it('takes a note that one hand would pluck during its glissando into the other hand', () => {
    const { errors, kinds, answer } = mend([{ at: 1, names: 'C4' }], {
      sweeps: [{ at: 0, lasts: 2, hand: 'R', from: 14, to: 42, settings: [1093] }],
    });
    expect(errors.map((e) => e.code)).toContain('sweep');
    expect(kinds).toEqual(['hand']);
    clean(answer);
  });

  it('mends notes that no two feet can serve by respelling', () => {
    // D, C and B all move with the left foot, an eighth of a second apart.
    const { errors, kinds, answer } = mend(
      [
        { at: 0, names: 'D4 C5 B5' },
        { at: 0.25, names: 'Db4 B5' },
        { at: 0.5, names: 'Cb5 D4' },
      ],
      { bpm: 120 },
    );
    expect(errors.length).toBeGreaterThan(0);
    expect(kinds.join()).toMatch(/respell/);
    expect(answer.part.passage.plucks).toHaveLength(7);
    clean(answer);
  });

  it('leaves a part without errors as it is, to the object', () => {
    const { part, answer } = mend([{ at: 0, names: 'C4 E4 G4' }]);
    expect(answer.part).toBe(part);
    expect(answer.mendings).toEqual([]);
  });

  it('mends a hopeless bar all the same', () => {
    const notes = Array.from({ length: 12 }, (_, i) => ({
      at: i / 24,
      names: 'C2 C#2 E4 E#4 G5 Gb5 A7 B4',
      hand: (i % 2 === 0 ? 'R' : 'L') as 'R' | 'L',
    }));
    const { errors, answer } = mend(notes, { bpm: 200 });
    expect(errors.length).toBeGreaterThan(5);
    clean(answer);
    expect(answer.part.passage.plucks.length).toBeGreaterThan(0);
  });
});

describe('repairs', () => {
  const notes: Note[] = [
    { at: 0, names: 'C4 E5 G5' },
    { at: 4, names: 'C2' },
    { at: 8, names: 'Eb4', hand: 'L' },
    { at: 8, names: 'E5' },
    { at: 12, names: 'C4 E4 G4 C5 E5' },
  ];
  const { part, errors, answer } = mend(notes);

  it('are several for each error, the least loss first, each by itself enough', () => {
    expect(answer.mendings).toHaveLength(4);
    for (const error of errors) {
      if (error.where.kind !== 'music') throw new Error('no place');
      const ids = error.where.ids;
      const own = answer.mendings.filter((m) => m.repairs[0]?.ids.some((id) => ids.includes(id)));
      expect(own).toHaveLength(1);
      const { repairs } = own[0] as (typeof own)[0];
      expect(repairs.length).toBeGreaterThan(1);
      expect(repairs.map((r) => r.loss)).toEqual([...repairs.map((r) => r.loss)].sort((a, b) => a - b));
      for (const repair of repairs) {
        expect(repair.needs).toEqual([]);
        const left = errorsOf(applyRepairs(part, answer.mendings, [repair.id]));
        expect(left.some((p) => p.where.kind === 'music' && p.where.ids.some((id) => ids.includes(id)))).toBe(
          false,
        );
        expect(left.length).toBeLessThan(errors.length);
      }
    }
  });

  it('undone are as if never made; the order of choosing does not matter', () => {
    const { mendings, chosen } = answer;
    expect(applyRepairs(part, mendings, [])).toBe(part);
    expect(applyRepairs(part, mendings, chosen)).toEqual(applyRepairs(part, mendings, [...chosen].reverse()));
    expect(applyRepairs(part, mendings, chosen).passage).toEqual(answer.part.passage);
    const withoutOne = errorsOf(applyRepairs(part, mendings, chosen.slice(1)));
    expect(withoutOne.length).toBe(1);
  });

  it('are told in sentences with bar and beat', () => {
    const told = answer.mendings.map((m) => shownStep(m.repairs[0]!.steps[0]!, part.passage));
    expect(told.map((t) => t.code)).toEqual(['hand', 'hand', 'respell', 'drop']);
    expect(told[0]?.message).toBe('Bar 1, beat 1: C4 goes to the left hand.');
    expect(told[1]).toMatchObject({ bar: '2', beat: 1 });
    for (const { message } of told) expect(message).toMatch(/^Bar \d+, beat [\d.]+: .+\.$/);
  });

  it('of every kind have a sentence', () => {
    const told = REPAIR_KINDS.map((kind) =>
      shownStep(
        {
          kind,
          loss: 0,
          edits: [
            { kind: 'pitch', id: 'n0a', to: { letter: 'C', alter: 0, octave: 5 } },
            { kind: 'hand', id: 'n0a', to: 'L' },
            { kind: 'tempo', from: 0 as never, to: 3360 as never, permille: 500 },
            { kind: 'move-in', onset: 0 as never, letter: 'C', to: 1 },
          ],
        },
        part.passage,
      ),
    );
    expect(new Set(told.map((t) => t.message)).size).toBe(REPAIR_KINDS.length);
    for (const t of told) expect(t.message).toMatch(/^Bar 1, beat 1: [^:]{8,}\.$/);
  });
});

describe('what the ear would miss', () => {
  it('knows third and seventh of the chord that sounds', () => {
    expect([...namingTones([0, 4, 7, 10], 0)].sort()).toEqual([10, 4]);
    expect([...namingTones([2, 5, 9], 2)]).toEqual([5]);
    expect([...namingTones([11, 2, 5, 9], 11)].sort()).toEqual([2, 9]);
  });

  it('weighs line over bass over naming tones over the rest, and a doubled third lightly', () => {
    const { passage } = planned([{ at: 0, names: 'C3 Bb3 E4 G4 C5' }]);
    const weights = noteWeights(passage);
    const of = (name: string) =>
      weights.get(passage.plucks.find((p) => pitchName(p.pitch) === name)?.id ?? '') ?? -1;
    expect(of('C5')).toBeGreaterThan(of('C3'));
    expect(of('C3')).toBeGreaterThan(of('E4'));
    expect(of('E4')).toBe(of('B♭3'));
    expect(of('E4')).toBeGreaterThan(of('G4'));
    const doubled = planned([{ at: 0, names: 'C3 E3 E4 C5' }]).passage;
    const w = noteWeights(doubled);
    expect(w.get('n0b')).toBeLessThan(of('E4'));
  });
});
