// Parts that are no harp music as they stand are told so once, and remarks that are alike are told together.
import { describe, expect, it } from 'vitest';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { readPart } from '../../src/interchange/read-part';
import { makeBars } from '../../src/music/metre';
import { sentence } from '../../src/playability/sentences';
import { checkPart } from '../../src/proposals/check';
import { barsConcerned, notesNamed } from '../../src/proposals/check-places';
import { unsuited } from '../../src/proposals/check-unsuited';
import { checkReport } from '../../src/proposals/report';
import { foldProblems, foldText } from '../../src/proposals/report-fold';
import { reportText } from '../../src/proposals/report-text';
import { type Note, line, planned } from '../playability/build';
import { DATA, dataBytes, dataFiles, hasData, needsData } from '../shared/data';

const NONE = { settings: [], moves: [] };
const METRE = { beats: 4, unit: 4 };
/** A part of ten bars in 4/4 from the notes of one bar. */
function tenBars(one: readonly Note[], bpm: number) {
  const notes = Array.from({ length: 10 }, (_, k) => one.map((n) => ({ ...n, at: n.at + 4 * k }))).flat();
  const { passage } = planned(notes, { bpm });
  return checkPart({ passage: { ...passage, bars: makeBars(METRE, 10) }, markings: NONE });
}

describe('a part that is no harp music as it stands', () => {
  const rapid = tenBars(line('C5 E5 C5 E5 C5 E5 C5 E5 C5 E5 C5 E5 C5 E5 C5 E5', 0.25), 160);
  it('is said to be too fast, with its tempo and one that would do', () => {
    const { passage } = rapid.planned;
    const whole = unsuited(rapid.problems, passage);
    expect(whole).toMatchObject({ code: 'part-unsuited', severity: 'warning', value: 10, limit: 10 });
    // 10.7 notes a second in one hand, where 7 are usual: 5.4 strokes a string, where 4 are.
    expect(sentence(whole as never, passage.bars)).toMatch(
      /^Most bars \(10 of 10\) are faster than a harp speaks at ♩ = 160: reduce the part first, or take it at about ♩ = 10\d\.$/,
    );
  });
  it('says so once, before all else, and keeps the rest short', () => {
    const { bars } = rapid.planned.passage;
    const summary = checkReport(rapid);
    expect(summary.unsuited?.code).toBe('part-unsuited');
    expect(summary.first.map((t) => t.code)).not.toContain('part-unsuited');
    expect(summary.errors + summary.warnings).toBe(rapid.problems.length - 1);
    expect(reportText(summary, bars)).toMatch(/^Most bars \(10 of 10\)/);
    const folds = foldProblems(rapid.problems, rapid.planned.passage);
    expect(folds[0]?.problem.code).toBe('part-unsuited');
    expect(folds.length).toBeLessThan(6);
    expect(folds.reduce((sum, f) => sum + f.count, 0)).toBe(rapid.problems.length);
  });
  it('may be too much for the feet, or for the hands', () => {
    // Four pedals of one foot within half a second.
    const chromatic = tenBars(
      [
        { at: 0, names: 'E4 F4 G4 A4' },
        { at: 0.5, names: 'E#4 F#4 G#4 A#4' },
      ],
      60,
    );
    expect(unsuited(chromatic.problems, chromatic.planned.passage)?.detail?.['kind']).toBe('feet');
    const thick = tenBars([{ at: 0, names: 'C4 D4 E4 F4 G4 A4' }], 60);
    const said = unsuited(thick.problems, thick.planned.passage);
    expect(said?.detail?.['kind']).toBe('hands');
    expect(sentence(said as never, [])).toContain('beyond a harpist’s hands');
  });
  it('is not said of a few bars, nor of harp music', () => {
    const fine = tenBars(line('C4 E4 G4 C5', 1), 80);
    expect(checkReport(fine).unsuited).toBeNull();
    const short = planned([{ at: 0, names: 'C4 D4 E4 F4 G4 A4' }]);
    const report = checkPart({ passage: short.passage, markings: NONE });
    expect(report.problems.some((p) => p.code === 'part-unsuited')).toBe(false);
  });
});

describe.skipIf(!hasData || !existsSync(join(DATA, 'piano')))(`real parts${needsData}`, () => {
  const said = (folder: string, name: string): string | null => {
    const read = readPart(name, dataBytes(folder, name));
    if (!read.ok) throw new Error(name);
    return checkReport(checkPart(read.value)).unsuited?.code ?? null;
  };
  it('for the harp are none of them called unsuited', () => {
    const names = dataFiles('harp-parts').filter((f) => f.endsWith('.musicxml'));
    expect(names).toHaveLength(22);
    expect(names.filter((name) => said('harp-parts', name) !== null)).toEqual([]);
  });
  it('for the piano are, where they are studies in speed', () => {
    for (const name of ['chopin-010-1b-sm-002', 'chopin-025-1b-le-006', 'chopin-010-1b-sm-012'])
      expect(said('piano', `${name}.musicxml`), name).toBe('part-unsuited');
    for (const name of ['chopin-028-1-bh-004', 'chopin-028-1-bh-007'])
      expect(said('piano', `${name}.musicxml`), name).toBeNull();
  });
});

describe('remarks', () => {
  it('concern every bar of their notes, and name them', () => {
    const { passage } = planned(line('C4 E4 C4 E4 C4 E4 C4 E4 C4 E4', 0.125, 'R', 3.5));
    const problem = checkPart({ passage, markings: NONE }).problems.find((p) => p.code === 'hand-speed');
    expect(barsConcerned(passage)(problem as never)).toEqual([0, 1]);
    expect(notesNamed(passage)(problem as never).join(' ')).toMatch(/^C4 E4 C4 E4/);
    const text = { kind: 'text', start: 0, end: 1 } as const;
    expect(barsConcerned(passage)({ ...(problem as never as object), where: text } as never)).toEqual([]);
  });
});

describe('remarks that are alike', () => {
  it('are told by their first, with the bars of the others', () => {
    const octaves = [0, 1, 2, 4].map((bar) => ({ at: 4 * bar, names: 'C4 F5' }));
    const { passage } = planned(octaves);
    const { problems } = checkPart({ passage, markings: NONE });
    const [fold, ...others] = foldProblems(problems, passage);
    expect(others).toEqual([]);
    expect(fold).toMatchObject({ count: 4, bars: ['2', '3', '5'] });
    expect(foldText(fold as never, passage.bars)).toMatch(
      /^Bar 1, beat 1: .*And 3 more like this: bars 2, 3, 5\.$/,
    );
  });
  it('stand each for itself while they are few', () => {
    const { passage } = planned([0, 1].map((bar) => ({ at: 4 * bar, names: 'C4 F5' })));
    const { problems } = checkPart({ passage, markings: NONE });
    expect(foldProblems(problems, passage).map((f) => f.count)).toEqual([1, 1]);
  });
});
