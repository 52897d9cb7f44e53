// Saved work comes back as it was; older work is taken over; what is damaged is refused in one sentence.
import fc from 'fast-check';
import { strToU8 } from 'fflate';
import { describe, expect, it } from 'vitest';
import { DEFAULT_WORK, encodeWork } from '../../src/app/work';
import { settingAt } from '../../src/harp/planned';
import { readPart } from '../../src/interchange/read-part';
import {
  SAVED_WORK_VERSION,
  type SavedPart,
  type SavedWork,
  decodeSavedWork,
  encodeSavedWork,
} from '../../src/interchange/saved-work';
import { sentence } from '../../src/playability/sentences';
import { plannedPassages } from './passages';

const INPUT = {
  title: 'Étude',
  text: 'Cmaj7 | A7♭9 | Dm9 / G13 /',
  metre: '6/8',
  tempo: 84,
  key: 'E♭',
  seed: '7',
  families: ['bisbigliando'],
  aim: 'practical',
  start: 1093,
} as const;

const works: fc.Arbitrary<SavedWork> = fc
  .record({
    planned: fc.array(plannedPassages, { maxLength: 3 }),
    input: fc.boolean(),
    volume: fc.double({ min: -40, max: 0, noNaN: true }),
    brought: fc.boolean(),
  })
  .map(({ planned, input, volume, brought }) => ({
    input: input ? { ...INPUT, families: [...INPUT.families] } : null,
    asked: null,
    parts: planned.map((one, i): SavedPart => ({
      id: `part-${i}`,
      name: `Harp ${i + 1}`,
      origin: brought
        ? { kind: 'brought' as const, file: 'a part.mxl' }
        : { kind: 'proposal' as const, family: 'rolled', seed: String(i) },
      planned: one,
    })),
    open: planned.length > 1 ? 'part-1' : null,
    page: { volume: volume === 0 ? 0 : volume, sound: { room: true }, list: [1, [2]] },
  }));

const codeOf = (input: string | Uint8Array): string => {
  const read = decodeSavedWork(input);
  if (read.ok) return 'read';
  expect(read.problems).toHaveLength(1);
  const said = sentence(read.problems[0] as (typeof read.problems)[number], []);
  expect(said).toMatch(/\.$/);
  expect(said).not.toContain('undefined');
  return read.problems[0]?.code ?? '';
};

describe('saved work', () => {
  it('comes back the same, and is the same text again', () => {
    fc.assert(
      fc.property(works, (work) => {
        const text = encodeSavedWork(work);
        const back = decodeSavedWork(text);
        expect(back).toEqual({ ok: true, value: work });
        if (back.ok) expect(encodeSavedWork(back.value)).toBe(text);
        expect(decodeSavedWork(strToU8(`\ufeff${text}`))).toEqual(back);
      }),
      { numRuns: 40, seed: 8 },
    );
  });

  it('is a part for every call that reads one', () => {
    let read = 0;
    fc.assert(
      fc.property(
        works.filter((w) => w.parts.length > 1),
        (work) => {
          const bytes = strToU8(encodeSavedWork(work));
          const open = readPart('work.json', bytes);
          const first = readPart('work.json', bytes, { part: 'harp 1' });
          if (!open.ok || !first.ok) throw new Error('refused');
          const planned = work.parts[1]?.planned;
          expect(open.value.passage).toEqual(planned?.passage);
          expect(open.value.planned).toEqual(planned);
          expect(first.value.passage).toEqual(work.parts[0]?.planned.passage);
          const last = planned?.moves.at(-1);
          if (planned !== undefined && last !== undefined) {
            expect(open.value.markings.moves.at(-1)).toEqual({
              onset: last.onset,
              letter: last.letter,
              to: last.to,
            });
            expect(settingAt(planned, last.onset)).toBeGreaterThanOrEqual(0);
          }
          read++;
        },
      ),
      { numRuns: 10, seed: 9 },
    );
    expect(read).toBe(10);
    const part = readPart(
      'w.json',
      strToU8(encodeSavedWork({ input: null, asked: null, parts: [], open: null, page: {} })),
    );
    expect(part).toMatchObject({ ok: false, problems: [{ code: 'work-no-part' }] });
  });

  it('takes over what the page kept before there were versions of it', () => {
    const old = decodeSavedWork(encodeWork(DEFAULT_WORK));
    if (!old.ok) throw new Error(JSON.stringify(old.problems));
    const { input, asked, selected: _, version: __, ...page } = DEFAULT_WORK;
    expect(old.value).toEqual({ input, asked, parts: [], open: null, page: { selected: null, ...page } });
  });

  it('refuses what is no work of ours, one clear sentence each', () => {
    const [work] = fc.sample(
      works.filter((w) => w.parts.length === 1 && w.parts[0]!.planned.moves.length > 0),
      { numRuns: 1, seed: 2 },
    );
    const text = encodeSavedWork(work as SavedWork);
    const data = () =>
      JSON.parse(text) as {
        parts: {
          planned: { passage: { plucks: { onset: number }[] }; moves: { from: number; to: number }[] };
        }[];
      } & Record<string, unknown>;
    const broken = (change: (d: ReturnType<typeof data>) => void): string => {
      const copy = data();
      change(copy);
      return JSON.stringify(copy);
    };
    expect(codeOf('')).toBe('file-empty');
    expect(codeOf(text.slice(0, -20))).toBe('work-broken');
    expect(codeOf('[1]')).toBe('work-kind');
    expect(codeOf('{"version":1}')).toBe('work-kind');
    expect(codeOf(broken((d) => (d.version = SAVED_WORK_VERSION + 1)))).toBe('work-version');
    expect(codeOf(broken((d) => (d.version = 0)))).toBe('work-version');
    expect(codeOf(broken((d) => (d.open = 5)))).toBe('work-shape');
    expect(codeOf(broken((d) => (d.parts[0]!.planned.passage.plucks[0]!.onset = -1)))).toBe('work-shape');
    expect(codeOf(broken((d) => (d.parts[0]!.planned.passage.plucks[0]!.onset = 0.5)))).toBe('work-shape');
    expect(
      codeOf(broken((d) => (d.parts[0]!.planned.moves[0]!.from = d.parts[0]!.planned.moves[0]!.to))),
    ).toBe('work-shape');
    expect(codeOf(broken((d) => d.parts.push(d.parts[0]!)))).toBe('work-shape');
    expect(
      codeOf(broken((d) => (d.page = JSON.parse(`${'['.repeat(500)}${']'.repeat(500)}`) as unknown))),
    ).toBe('work-shape');
    expect(
      codeOf(`{"format":"harpwright","version":2,"page":${'{"a":'.repeat(100_000)}1${'}'.repeat(100_000)}}`),
    ).toBe('work-shape');
    const named = decodeSavedWork(broken((d) => (d.parts[0]!.planned.passage.plucks[0]!.onset = -1)));
    expect(named).toMatchObject({ problems: [{ value: 'parts.0.planned.passage.plucks.0.onset' }] });
  });
});
