// The published harp parts: a plan for each, never dearer than printed, never below the untimed least on record.
import { afterAll, describe, expect, it } from 'vitest';
import { PEDALS } from '../../src/harp/setting';
import type { Passage } from '../../src/music/passage';
import { defaultPlanOptions, planPassage } from '../../src/pedals/plan';
import { validatePlan } from '../../src/pedals/validate';
import { partNames, partsPresent, readPart } from './parts';

/** Onsets, moves of the printed spelling, and the least untimed over all respellings, by enumeration of others. */
const RECORD: Record<string, readonly [onsets: number, printed: number, least: number | null]> = {
  'mus-ii-27-310': [146, 8, 8],
  'n26880--001': [246, 17, 12],
  'n26880--007': [80, 9, null],
  'n26880--008': [163, 22, 13],
  'n26880--009': [118, 20, 5],
  'n26881--001': [62, 0, 0],
  'n26881--003': [49, 11, 7],
  'n26881--009': [34, 9, null],
  'n26881--011': [50, 3, 3],
  'n26882--001-001': [93, 10, 2],
  'n26882--001-003': [40, 0, 0],
  'n26882--001-008': [126, 19, 13],
  'n26882--001-010': [68, 23, 11],
  'r-1455': [213, 12, null],
  'r-1564--001-001': [188, 17, null],
  'r-1564--001-002': [164, 7, null],
  'r-1564--001-004': [152, 17, 14],
  'r-1564--001-009': [595, 43, 42],
  'r-1740-m--002-008': [80, 13, 12],
  'r-2570': [130, 12, 9],
  'r-333-m': [1035, 53, 52],
  'r-691-b-m': [1078, 18, 18],
};
/** Here a pitch is written on two strings at once (C♭ with B): kept apart, it costs more than the record's merging. */
const TWO_STRINGS = ['n26880--009', 'n26882--001-010'];

function changesAsPrinted(passage: Passage): number {
  let n = 0;
  for (const letter of PEDALS) {
    const alters = passage.plucks.filter((p) => p.pitch.letter === letter).map((p) => p.pitch.alter);
    n += alters.filter((a, i) => i > 0 && a !== alters[i - 1]).length;
  }
  return n;
}

describe.skipIf(!partsPresent)('the 22 shared harp parts at ♩ = 90', () => {
  const proven = { fewest: 0, practical: 0 };
  afterAll(() => expect(proven).toEqual({ fewest: 22, practical: 22 }));
  it('has all 22', () => expect(partNames).toHaveLength(22));
  for (const name of partNames) {
    it(name, () => {
      const found = Object.entries(RECORD).find(([key]) => name.startsWith(key));
      expect(found).toBeDefined();
      const [key, [onsets, printed, least]] = found as typeof RECORD extends Record<string, infer V>
        ? [string, V]
        : never;
      const passage = readPart(name);
      expect(new Set(passage.plucks.map((p) => p.onset)).size).toBe(onsets);
      if (least !== null) expect(changesAsPrinted(passage)).toBe(printed);
      for (const aim of ['fewest', 'practical'] as const) {
        const options = { ...defaultPlanOptions, aim };
        const answer = planPassage(passage, options);
        if (aim === 'fewest') expect(answer.status).toBe('optimal');
        expect(answer.status).not.toBe('unplayable');
        if (answer.status === 'unplayable') return;
        proven[aim] += answer.status === 'optimal' ? 1 : 0;
        const verdict = validatePlan(passage, answer.planned, options);
        expect(verdict.faults).toEqual([]);
        expect(verdict.price).toEqual(answer.price);
        if (aim === 'fewest')
          expect(answer.price.moves).toBeLessThanOrEqual(printed + (least === null ? 1 : 0));
        if (least !== null) expect(answer.lowerBound).toBeGreaterThanOrEqual(least);
        if (least !== null && !TWO_STRINGS.includes(key)) expect(answer.lowerBound).toBe(least);
        const clashes = answer.problems.filter((p) => p.code === 'clash');
        expect(clashes.length > 0).toBe(least === null);
      }
    });
  }
});
