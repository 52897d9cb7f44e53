// Cheaper neighbours where no move is saved: each spends less by the term that it names, planned again here.
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random';
import { keySetting } from '../../src/harp/setting';
import { pitchName } from '../../src/music/pitch';
import { defaultPlanOptions, planPassage } from '../../src/pedals/plan';
import { validatePlan } from '../../src/pedals/validate';
import { withChange } from '../../src/proposals/changes';
import { shownNeighbour } from '../../src/proposals/neighbour-words';
import { neighbours } from '../../src/proposals/neighbours';
import { randomPassage } from '../pedals/random-passage';
import { chords } from './_quarters';

describe('cheaper neighbours of equal moves', () => {
  it('save points of the term they name', () => {
    const random = seededRandom('price places');
    const [named, kinds] = [new Set<string>(), new Set<string>()];
    for (let i = 0; i < 8; i++) {
      const passage = randomPassage(random, { onsets: 8, most: 4, milliBpm: 84_000 });
      const answer = planPassage(passage, defaultPlanOptions);
      if (answer.status === 'unplayable') continue;
      for (const n of neighbours(passage, defaultPlanOptions, answer, { most: 30 })) {
        expect(n.saves.moves).toBeGreaterThanOrEqual(0);
        const again = planPassage(withChange(passage, n.change), defaultPlanOptions);
        if (again.status === 'unplayable') throw new Error('offered, but not playable');
        expect(again.price).toEqual(n.price);
        expect(validatePlan(withChange(passage, n.change), n.planned, defaultPlanOptions).faults).toEqual([]);
        expect(n.saves.points).toBe(answer.price.points - again.price.points);
        if (n.saves.moves > 0 || n.saves.hasty > 0) continue;
        const most = n.saves.most;
        if (most === null) throw new Error('no term is named');
        expect(n.saves.points).toBeGreaterThanOrEqual(most === 'ring' ? 3 : 8);
        expect(answer.price.terms[most]).toBeGreaterThan(again.price.terms[most]);
        expect(shownNeighbour(n, passage.bars).message).toMatch(/, \d+ points are saved: [^,]+\.$/);
        named.add(most);
        kinds.add(n.change.kind);
      }
    }
    expect([...named]).toContain('respelt');
    expect([...kinds]).toEqual(expect.arrayContaining(['leave-out', 'replace', 'tension']));
  });

  it('quiet a bass string that its pedal would bend', () => {
    // C2 rings loudest when C♯ is needed on the next beat; before and after, everything stands.
    const passage = chords([[31, 36, 43, 64], [61], [65], null], 60_000);
    const options = { ...defaultPlanOptions, start: keySetting(0), keepSpelling: true };
    const answer = planPassage(passage, options);
    if (answer.status === 'unplayable') throw new Error('playable');
    expect(answer.price.terms.ring).toBeGreaterThanOrEqual(4);
    const found = neighbours(passage, options, answer, { most: 40 });
    const quiet = found.filter((n) => n.saves.most === 'ring' && n.change.kind !== 'respell');
    expect(quiet.map((n) => n.change.kind)).toContain('octave');
    for (const n of quiet) {
      expect(n.change.from.map(pitchName)).toEqual(['C2']);
      expect(shownNeighbour(n, passage.bars).message).toContain('the pedals move under quieter strings');
    }
  });
});
