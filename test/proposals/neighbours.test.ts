// Cheaper neighbours: every one offered is held against a plan of its own; planted savings are found.
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random';
import type { Passage } from '../../src/music/passage';
import { pitchName } from '../../src/music/pitch';
import type { PlannedPassage } from '../../src/harp/planned';
import { keySetting } from '../../src/harp/setting';
import { judge } from '../../src/playability/judge';
import { defaultPlanOptions, planPassage } from '../../src/pedals/plan';
import { neighbours, neighboursOf } from '../../src/proposals/neighbours';
import { propose } from '../../src/proposals/propose';
import { randomPassage } from '../pedals/random-passage';

import { chords, fewest } from './_quarters';

const errors = (planned: PlannedPassage): number =>
  judge(planned).filter((p) => p.severity === 'error').length;

describe('neighbours', () => {
  // C: every letter natural is needed before and after one F sharp in the second bar.
  const all = [[48, 52, 55], [50, 53, 57], [59, 64, 67], null];
  const passage = chords([...all, [50, 54, 57], [50, 57, 62], null, null, ...all]);

  it('finds the one F♯ that costs two moves: without it, or with another tone of its chord, none', () => {
    const answer = planPassage(passage, fewest);
    if (answer.status === 'unplayable') throw new Error('playable');
    expect(answer.price.moves).toBe(2);
    const found = neighbours(passage, fewest, answer);
    const best = found[0];
    expect([best?.saves.moves, best?.onset, best?.price.moves]).toEqual([2, 4 * 3360, 0]);
    const left = found.find((n) => n.change.kind === 'leave-out' && n.saves.moves === 2);
    expect(left?.change.ids).toEqual(['n4.1']);
    expect(left?.change.from.map(pitchName)).toEqual(['F♯3']);
    expect(left?.passage.plucks).toHaveLength(passage.plucks.length - 1);
  });

  it('replaces by a tone of the same bar, near, on a string that needs no move', () => {
    const tight = chords([...all, [50, 54, 69], [50, 57, 62], null, null, ...all]);
    const answer = planPassage(tight, fewest);
    const found = neighbours(tight, fewest, answer).filter(
      (n) => n.change.kind === 'replace' && n.change.ids.join() === 'n4.1',
    );
    expect(found.length).toBeGreaterThan(0);
    for (const { change, saves } of found) {
      if (change.kind !== 'replace') throw new Error('replace');
      expect(saves.moves).toBe(2);
      expect(change.to.map(pitchName)).toEqual(['A3']);
    }
  });

  it('a chord a beat later gives the feet time', () => {
    // C♯ and D♯, then C and D: two moves of the left foot within 0.2 s.
    const fast = chords([[49, 51, 55], [48, 50, 55], null, null], 300_000);
    const options = { ...fewest, keepSpelling: true };
    const answer = planPassage(fast, options);
    const found = neighbours(fast, options, answer);
    const late = found.filter((n) => n.change.kind === 'delay');
    expect(late.length).toBeGreaterThan(0);
    for (const n of late) expect([n.mends, n.onset]).toEqual([true, 3360]);
  });

  it('what cannot be played gets a change that has been tried and works', () => {
    const clash = chords([[48, 49, 55], [50, 57, 62], [55, 56, 62], null]);
    const options = { ...fewest, keepSpelling: true };
    const answer = planPassage(clash, options);
    expect(answer.status).toBe('unplayable');
    const found = neighbours(clash, options, answer);
    expect(found).toHaveLength(1);
    expect(found[0]?.mends).toBe(true);
    expect(found[0]?.change.ids).toHaveLength(2);
    expect(planPassage(found[0]?.passage as Passage, options).status).toBe('optimal');
  });

  it('holds what it says, on seeded passages, and keeps to its limits', () => {
    const random = seededRandom('neighbours');
    let [offered, several] = [0, 0];
    for (let i = 0; i < 4; i++) {
      const asked = randomPassage(random, { onsets: 12, most: 3, milliBpm: random.pick([72_000, 132_000]) });
      const options = { ...fewest, start: random.chance(1, 2) ? keySetting(0) : null };
      const answer = planPassage(asked, options);
      const found = neighbours(asked, options, answer, { most: 5 });
      if (i === 0) expect(neighbours(asked, options, answer, { most: 5 })).toEqual(found);
      // Each place has its best whatever `most` says; beyond them, no more than that.
      const best = neighbours(asked, options, answer, { most: 1 });
      if (answer.status !== 'unplayable') {
        expect(found.length).toBeLessThanOrEqual(Math.max(5, best.length));
        expect(
          best.every((n) => found.some((f) => f.onset === n.onset && f.saves.moves === n.saves.moves)),
        ).toBe(true);
        if (best.length > 1) several++;
      }
      for (const n of found) {
        offered++;
        const again = planPassage(n.passage, options);
        if (again.status === 'unplayable') throw new Error('offered, and cannot be played');
        expect(again.price).toEqual(n.price);
        if (answer.status === 'unplayable') expect(n.mends).toBe(true);
        else {
          expect(answer.price.moves - again.price.moves).toBe(n.saves.moves);
          expect(answer.price.hasty - again.price.hasty).toBe(n.saves.hasty);
          expect(
            n.saves.moves > 0 || n.saves.hasty > 0 || n.saves.points >= (n.saves.most === 'ring' ? 3 : 8),
          ).toBe(true);
        }
        // Whole, and no harder for the hands than before.
        expect(n.planned).toEqual(again.planned);
        if (answer.status !== 'unplayable')
          expect(errors(again.planned)).toBeLessThanOrEqual(errors(answer.planned));
        for (const roll of n.passage.rolls)
          for (const id of roll.plucks) expect(n.passage.plucks.some((p) => p.id === id)).toBe(true);
      }
    }
    expect(several).toBeGreaterThan(0);
    expect(offered).toBeGreaterThan(5);
    expect(neighbours(passage, fewest, planPassage(passage, fewest), { work: 0 })).toEqual([]);
  });

  it('works for a proposal, which is planned anew', () => {
    const [proposal] = propose({
      text: 'Cmaj7 | A7b9 | Dm9 | G13',
      metre: { beats: 4, unit: 4 },
      milliBpm: 90_000,
      seed: '7',
      count: 1,
      families: ['wave'],
      start: null,
      aim: 'practical',
      key: null,
      title: '',
    }).proposals;
    if (proposal === undefined) throw new Error('no proposal');
    const { found, complete } = neighboursOf(proposal.planned, defaultPlanOptions);
    expect(complete).toBe(true);
    expect(found.length).toBeGreaterThan(0);
    for (const n of found) expect(n.saves.points).toBeGreaterThan(0);
  });
});
