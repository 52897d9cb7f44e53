// 2,000 damaged files of every kind that is read: an answer or one problem each, never a throw.
import fc from 'fast-check';
import { strToU8 } from 'fflate';
import { describe, expect, it } from 'vitest';
import { writeMidi } from '../../src/interchange/midi-write';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { writeMxl } from '../../src/interchange/mxl-write';
import { readPart } from '../../src/interchange/read-part';
import { encodeSavedWork } from '../../src/interchange/saved-work';
import { sentence } from '../../src/playability/sentences';
import { plannedPassages } from './passages';

describe('damaged files', () => {
  it('are read or refused in one sentence, 2,000 of them', () => {
    const samples = fc.sample(plannedPassages, { numRuns: 2, seed: 19 }).flatMap((planned, i) => {
      const xml = writeMusicXml(planned);
      const origin = { kind: 'brought' as const, file: 'x' };
      const part = { id: 'a', name: 'Harp', origin, planned };
      return [
        { name: `${i}.musicxml`, bytes: strToU8(xml) },
        { name: `${i}.mxl`, bytes: writeMxl(xml) },
        { name: `${i}.mid`, bytes: writeMidi(planned) },
        {
          name: `${i}.json`,
          bytes: strToU8(encodeSavedWork({ input: null, asked: null, parts: [part], open: null, page: {} })),
        },
      ];
    });
    const seen = new Map<string, { read: number; refused: number }>();
    const place = fc.double({ min: 0, max: 1, noNaN: true });
    const change = fc.oneof(
      fc.record({ kind: fc.constant('byte' as const), at: place, to: fc.nat(255) }),
      fc.record({ kind: fc.constant('cut' as const), at: place, to: place }),
      fc.record({ kind: fc.constant('repeat' as const), at: place, to: place }),
    );
    fc.assert(
      fc.property(
        fc.constantFrom(...samples),
        fc.array(change, { minLength: 1, maxLength: 4 }),
        ({ name, bytes }, changes) => {
          let damaged = bytes;
          for (const { kind, at, to } of changes) {
            const from = Math.floor(at * (damaged.length - 1));
            if (kind === 'byte') {
              damaged = damaged.slice();
              damaged[from] = to;
              continue;
            }
            const length = Math.min(600, Math.floor(to * (damaged.length - from)));
            const rest = kind === 'cut' ? from + length : from;
            const head = damaged.subarray(0, from + (kind === 'cut' ? 0 : length));
            const tail = damaged.subarray(rest);
            const whole = new Uint8Array(head.length + tail.length);
            whole.set(head);
            whole.set(tail, head.length);
            damaged = whole;
          }
          const read = readPart(name, damaged);
          const suffix = name.slice(name.indexOf('.'));
          const count = seen.get(suffix) ?? { read: 0, refused: 0 };
          seen.set(suffix, count);
          if (read.ok) {
            count.read++;
            expect(read.value.passage.plucks.every((p) => Number.isInteger(p.onset))).toBe(true);
            return;
          }
          count.refused++;
          expect(read.problems).toHaveLength(1);
          const said = sentence(read.problems[0] as (typeof read.problems)[number], []);
          expect(said).toMatch(/\.$/);
          expect(said).not.toMatch(/undefined|\[object/);
        },
      ),
      { numRuns: 2000, seed: 23, endOnFailure: true },
    );
    expect([...seen.keys()].sort()).toEqual(['.json', '.mid', '.musicxml', '.mxl']);
    for (const [suffix, { read, refused }] of seen) {
      expect(read + refused, suffix).toBeGreaterThan(300);
      expect(refused, suffix).toBeGreaterThan(50);
    }
  });
});
