// Every repair that is offered, tried again by this test on the whole part, one by one: with what it needs its errors are
// gone and no other has come; in place of the first it leaves the part without error. What fails is not offered.
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random';
import { ticks } from '../../src/base/units';
import { readPart } from '../../src/interchange/read-part';
import { makeBars } from '../../src/music/metre';
import { type PartToCheck, checkPart } from '../../src/proposals/check';
import { applyRepairs, mendInSteps, mendPart, readyPart } from '../../src/proposals/mend/mend';
import { printedNotes } from '../../src/proposals/mend/score-edits';
import { tryInSteps } from '../../src/proposals/mend/trials';
import type { MendAnswer } from '../../src/proposals/mend/types';
import { propose } from '../../src/proposals/propose';
import { type Ground, PLANTS } from '../cases/plants';
import { type Note, planned } from '../playability/build';
import { DATA, dataBytes, dataFiles, hasData, needsData } from '../shared/data';

const errorsOf = (part: PartToCheck) => checkPart(part).problems.filter((p) => p.severity === 'error');
type Error = ReturnType<typeof errorsOf>[number];

/** 'clash n3' for every note that an error names, 'clash @3360' for one that names none. */
const marksOf = (errors: readonly Error[]): string[] =>
  errors.flatMap(({ code, where }) =>
    where.kind !== 'music'
      ? [code]
      : where.ids.length === 0
        ? [`${code} @${where.onset}`]
        : where.ids.map((id) => `${code} ${id}`),
  );

interface Count {
  offers: number;
  bound: number;
  cancelled: number;
  readonly wrong: string[];
}

/** Holds an answer to its promise, by single trials. */
function hold(name: string, part: PartToCheck, { mendings, chosen }: MendAnswer, count: Count): void {
  const ready = readyPart(part);
  const before = errorsOf(ready);
  for (const [i, mending] of mendings.entries()) {
    const first = mending.repairs[0];
    if (first === undefined) throw new Error(`${name}: a place without a repair`);
    const last = mending.repairs.at(-1)?.id.replace(/^m\d+/, '') ?? '';
    count.cancelled += (last === '' ? 0 : last.charCodeAt(0) - 96) - (mending.repairs.length - 1);
    for (const repair of mending.repairs) {
      count.offers++;
      if (repair.needs.length > 0) count.bound++;
      const told = `${name} ${repair.id}`;
      const others = chosen.filter((_, k) => k !== i);
      if (errorsOf(applyRepairs(part, mendings, [...others, repair.id])).length > 0)
        count.wrong.push(`${told}: not in place of the first`);
      const left = marksOf(errorsOf(applyRepairs(part, mendings, [...repair.needs, repair.id])));
      const own = new Set(marksOf(mending.problems));
      if (left.some((m) => own.has(m))) count.wrong.push(`${told}: its error stays`);
      const known = new Set(marksOf(before));
      const fresh = errorsOf(applyRepairs(part, mendings, [...repair.needs, repair.id])).filter(
        (e) => !marksOf([e]).some((m) => known.has(m)),
      );
      if (fresh.length > 0) count.wrong.push(`${told}: a new error, ${fresh[0]?.code}`);
    }
  }
}

const none = (): Count => ({ offers: 0, bound: 0, cancelled: 0, wrong: [] });

describe('every repair that is offered', () => {
  it('for planted faults holds on the whole part; some that look well at their place are not offered', () => {
    const { proposals } = propose({
      ...{
        text: 'Ebmaj7 | Cm9 | Fm7 Bb7b9 | Eb6/9',
        metre: { beats: 4, unit: 4 },
        milliBpm: 80_000,
        seed: '1',
      },
      ...{ count: 8, families: [], start: null, aim: 'practical', key: null, title: '' },
    });
    const grounds = proposals.flatMap(({ id, planned: p }): Ground[] => {
      const moves = p.moves.map(({ onset, letter, to }) => ({ onset, letter, to }));
      const settings = [{ onset: ticks(0), setting: p.start }];
      const bare = { passage: p.passage, markings: { settings: [], moves: [] } };
      return [
        { name: id, part: { passage: p.passage, markings: { settings, moves } }, planned: p, marked: true },
        { name: `${id} bare`, part: bare, planned: checkPart(bare).planned, marked: false },
      ];
    });
    const clean = grounds.filter((g) => errorsOf(g.part).length === 0);
    const random = seededRandom('tried');
    const names = Object.keys(PLANTS);
    const count = none();
    let cases = 0;
    for (let tries = 0; cases < 60 && tries < 2400; tries++) {
      const name = names[tries % names.length] as string;
      const fault = PLANTS[name]?.(random.pick(clean), random) ?? null;
      if (fault === null || fault.severity !== 'error') continue;
      cases++;
      hold(`${name} ${cases}`, fault.part, mendPart(fault.part), count);
    }
    expect(cases).toBe(60);
    expect(count.wrong).toEqual([]);
    expect(count.offers).toBeGreaterThan(150);
    expect(count.cancelled).toBeGreaterThan(0);
  });

  it.skipIf(!hasData || !existsSync(join(DATA, 'harp-parts')))(
    `in 22 published parts holds on the whole part${needsData}`,
    () => {
      const count = none();
      let parts = 0;
      for (const name of dataFiles('harp-parts').filter((n) => n.endsWith('.musicxml'))) {
        const read = readPart(name, dataBytes('harp-parts', name));
        if (!read.ok) throw new Error(name);
        parts++;
        const part = read.value;
        const answer = mendPart(part, undefined, {
          handsGiven: part.handsGiven,
          printedAs: printedNotes(part),
        });
        expect(answer.untried).toBe(0);
        hold(name.slice(0, 24), part, answer, count);
      }
      expect(parts).toBe(22);
      expect(count.wrong).toEqual([]);
      expect(count.offers).toBeGreaterThan(100);
      expect(count.cancelled).toBeGreaterThan(0);
    },
  );
});

describe('trials', () => {
  const notes = (faults: number): Note[] =>
    Array.from({ length: faults }, (_, i): Note[] => [
      { at: 32 * i, names: 'C4 E5 G5' },
      { at: 32 * i + 8, names: 'C5' },
    ]).flat();

  it('refuse a repair that is well at its place and fails elsewhere in the part', () => {
    const part = {
      passage: planned([
        { at: 0, names: 'C4 E5 G5' },
        { at: 40, names: 'D5' },
      ]).passage,
      markings: { settings: [], moves: [] },
    };
    const { mendings, remaining } = mendPart(part);
    const [mending] = mendings;
    const [first] = mending?.repairs ?? [];
    if (mending === undefined || first === undefined) throw new Error('nothing to mend');
    // Mends the chord, and puts a note ten bars later off the harp.
    const far = part.passage.plucks.at(-1);
    if (far === undefined) throw new Error('no last note');
    const bad = {
      ...first,
      id: 'm1z',
      steps: [
        ...first.steps,
        {
          kind: 'octave' as const,
          loss: 1,
          edits: [{ kind: 'pitch' as const, id: far.id, to: { ...far.pitch, octave: 9 } }],
        },
      ],
    };
    const steps = tryInSteps(
      readyPart(part),
      [{ ...mending, repairs: [...mending.repairs, bad] }],
      remaining,
      checkPart(part).planned.instrument,
    );
    let step = steps.next();
    while (step.done !== true) step = steps.next();
    expect(step.value.mendings[0]?.repairs.map((r) => r.id)).toEqual(mending.repairs.map((r) => r.id));
    expect(step.value.untried).toBe(0);
  });

  it('of places far apart go together in a part with many notes', () => {
    const faults = 12;
    const quiet = Array.from({ length: 3200 }, (_, i): Note => ({ at: 32 * faults + 8 + i, names: 'C5' }));
    const made = planned([...notes(faults), ...quiet]).passage;
    const bars = makeBars({ beats: 4, unit: 4 }, 8 * faults + 820);
    const part = { passage: { ...made, bars }, markings: { settings: [], moves: [] } };
    const { mendings, remaining } = mendPart(part, undefined, { offered: false });
    expect(mendings).toHaveLength(faults);
    const repairs = mendings.reduce((sum, m) => sum + m.repairs.length, 0);
    const steps = tryInSteps(readyPart(part), mendings, remaining, checkPart(part).planned.instrument);
    let judged = 0;
    let step = steps.next();
    for (; step.done !== true; step = steps.next()) judged++;
    expect(step.value.untried).toBe(0);
    expect(repairs).toBeGreaterThan(3 * faults);
    expect(judged).toBeGreaterThan(2);
    expect(judged).toBeLessThan(repairs);
  });

  it('are told of in shares that grow', () => {
    const part = { passage: planned(notes(3)).passage, markings: { settings: [], moves: [] } };
    const shares: number[] = [...mendInSteps(part)];
    expect(shares.length).toBeGreaterThan(5);
    for (const share of shares) expect(share >= 0 && share <= 1).toBe(true);
    expect(shares).toEqual([...shares].sort((a, b) => a - b));
  });
});
