// What the page's pedal tools ask and make: options of the plan on the desk, offers and harps as sheets, glissandi.
import { describe, expect, it } from 'vitest';
import { FIRST_GLISS, glissReply, glissSheet } from '../../src/app/gliss-input';
import { harpSheets, moveLines, offersOf, steeredPlan } from '../../src/app/tools';
import { DEFAULT_WORK, decodeWork, encodeWork, requestOf } from '../../src/app/work';
import { perform } from '../../src/harp/performance';
import { INSTRUMENTS } from '../../src/harp/instrument';
import { judge } from '../../src/playability/judge';
import { neighboursOf } from '../../src/proposals/neighbours';
import { propose } from '../../src/proposals/propose';
import { twoHarps } from '../../src/proposals/two-harps';

const input = {
  ...DEFAULT_WORK.input,
  text: 'C | C#m7b5 F#7 | Bm7 Bbmaj7 | A7b9 Dm6',
  aim: 'fewest' as const,
};
const proposal = propose({ ...requestOf(input), count: 1 }).proposals[0];
if (proposal === undefined) throw new Error('no proposal');
const options = steeredPlan(input);

describe('tools for a planned passage', () => {
  it('ask under the options of the list, and under the usual ones for a part', () => {
    expect(options.aim).toBe('fewest');
    expect(steeredPlan({ ...input, start: 7 }).start).toBe(7);
    expect(steeredPlan(null).aim).toBe('practical');
  });

  it('offer changes that cost as many moves fewer as they say', () => {
    const offers = offersOf(proposal, neighboursOf(proposal.planned, options, { most: 4 }).found);
    expect(offers.length).toBeGreaterThan(0);
    for (const { words, sheet, from } of offers) {
      expect(sheet.planned.moves.length).toBe(proposal.pedals.moves - words.saves);
      expect(from).toBeGreaterThanOrEqual(0);
      expect(sheet.family).not.toBe(proposal.family);
    }
  });

  it('make two sheets of a division, each with its moves in words', () => {
    const { splits } = twoHarps(proposal.planned.passage, options, { ways: [{ kind: 'hands' }] });
    const [split] = splits;
    if (split === undefined) throw new Error('no split');
    const [one, two] = harpSheets(proposal, split);
    const notes = (sheet: typeof one): number => sheet.planned.passage.plucks.length;
    expect(notes(one) + notes(two)).toBe(proposal.planned.passage.plucks.length);
    for (const { planned } of [one, two]) {
      expect(moveLines(planned)).toHaveLength(planned.moves.length);
      for (const line of moveLines(planned))
        expect(line).toMatch(/^bar \d+, beat [\d.]+: [A-G][♭♮♯]?, (left|right) foot$/);
    }
  });
});

describe('a glissando that is looked for', () => {
  it('sounds its content and nothing else, with as many sweeps as fingers', () => {
    for (const [shape, fingers] of [
      ['', 1],
      ['sixths', 2],
      ['triads', 3],
    ] as const) {
      const reply = glissReply({ ...FIRST_GLISS, text: 'E7', shape });
      if (reply.kind !== 'answer') throw new Error('no answer');
      const [found] = reply.answer.settings;
      if (found === undefined) throw new Error('no setting');
      const { planned } = glissSheet('E7', found, reply.shape);
      expect(planned.passage.sweeps).toHaveLength(fingers);
      const heard = new Set(perform(planned).map((n) => n.midi % 12));
      expect([...heard].sort((a, b) => a - b)).toEqual([2, 4, 8, 11]);
      expect(judge(planned).filter((p) => p.severity === 'error')).toEqual([]);
    }
  });

  it('says what it cannot read, by its field', () => {
    const field = (part: Partial<typeof FIRST_GLISS>): string => {
      const reply = glissReply({ ...FIRST_GLISS, ...part });
      return reply.kind === 'fault' ? reply.field : reply.kind;
    };
    expect(field({ text: ' ' })).toBe('empty');
    expect(field({ text: 'eggs' })).toBe('text');
    expect(field({ allow: 'eggs' })).toBe('allow');
    expect(field({ from: 'C4' })).toBe('ends');
    expect(field({ from: 'C4', to: 'C9' })).toBe('ends');
    expect(field({ from: 'C1', to: 'G7', shape: 'octaves' })).toBe('ends');
    expect(field({ from: 'E3', to: 'E6' })).toBe('answer');
  });

  it('is kept with the work, and work from before it opens as it was', () => {
    const work = { ...DEFAULT_WORK, desk: 'gliss' as const, gliss: { ...FIRST_GLISS, text: 'C whole tone' } };
    expect(decodeWork(encodeWork(work))).toEqual(work);
    const {
      gliss: _gliss,
      input: { harp: _harp, ...old },
      ...rest
    } = DEFAULT_WORK;
    expect(decodeWork(JSON.stringify({ ...rest, input: old }))).toEqual(DEFAULT_WORK);
  });
});

describe('the harp that is chosen', () => {
  it('is the one that is asked for', () => {
    for (const harp of INSTRUMENTS) expect(requestOf({ ...input, harp: harp.id }).instrument).toEqual(harp);
  });
});
