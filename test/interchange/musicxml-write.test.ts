// What is written: valid, full bars, the contract's marks.
import fc from 'fast-check';
import { XmlDocument, type XmlElement } from 'libxml2-wasm';
import { describe, expect, it } from 'vitest';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { METRES, plannedPassages } from './passages';
import { hasSchema, schemaErrors } from './schema';
import { walk } from './walk';

const TYPES: Record<string, number> = Object.fromEntries(
  ['whole', 'half', 'quarter', 'eighth', '16th', '32nd', '64th', '128th', '256th', '512th', '1024th'].map(
    (name, i) => [name, 13440 / 2 ** i],
  ),
);

describe.skipIf(!hasSchema)(`W3C MusicXML 4.0 schema${hasSchema ? '' : ' (skipped: no shared data)'}`, () => {
  it('accepts every passage in seven metres', () => {
    const metres = new Set<string>();
    fc.assert(
      fc.property(plannedPassages, fc.constantFrom('words', 'diagrams', 'none'), (planned, pedals) => {
        const metre = planned.passage.bars[0]?.metre;
        metres.add(`${metre?.beats}/${metre?.unit}`);
        expect(schemaErrors(writeMusicXml(planned, { pedals }))).toBeNull();
      }),
      { numRuns: 150, seed: 4 },
    );
    expect(metres.size).toBe(METRES.length);
  });
});

describe('bars', () => {
  it('are filled in every voice, with one backup between voices', () => {
    let voices = 0;
    fc.assert(
      fc.property(plannedPassages, (planned) => {
        const { bars } = walk(writeMusicXml(planned));
        expect(bars).toHaveLength(planned.passage.bars.length);
        bars.forEach((bar, i) => {
          const length = planned.passage.bars[i]?.length;
          for (const filled of bar.voices.values()) expect(filled).toBe(length);
          expect(bar.backups).toBe(bar.voices.size - 1);
          expect([...bar.voices.keys()]).toEqual(expect.arrayContaining(['1', '5']));
          voices += bar.voices.size;
        });
      }),
      { numRuns: 100, seed: 5 },
    );
    expect(voices).toBeGreaterThan(400);
  });

  it('print values that add up to their durations, tuplets closed and unnested', () => {
    let tuplets = 0;
    fc.assert(
      fc.property(plannedPassages, (planned) => {
        const doc = XmlDocument.fromString(writeMusicXml(planned));
        const text = (note: XmlElement, path: string) => note.get(path)?.content;
        const open = new Map<string, boolean>();
        for (const note of doc.root.find('part/measure/note[duration]') as XmlElement[]) {
          const type = text(note, 'type');
          const voice = text(note, 'voice') ?? '';
          if (type !== undefined) {
            const dots = note.find('dot').length;
            const written = (TYPES[type] as number) * (dots === 1 ? 1.5 : 1);
            const ratio =
              Number(text(note, 'time-modification/actual-notes') ?? 1) /
              Number(text(note, 'time-modification/normal-notes') ?? 1);
            expect(Number(text(note, 'duration')) * ratio).toBeCloseTo(written, 6);
          }
          if (note.get("notations/tuplet[@type='start']") !== null) {
            expect(open.get(voice) ?? false).toBe(false);
            open.set(voice, true);
            tuplets++;
          }
          if (note.get('chord') === null)
            expect(note.get('time-modification') !== null).toBe(open.get(voice) ?? false);
          if (note.get("notations/tuplet[@type='stop']") !== null) open.set(voice, false);
        }
        expect([...open.values()].some(Boolean)).toBe(false);
        doc.dispose();
      }),
      { numRuns: 80, seed: 6 },
    );
    expect(tuplets).toBeGreaterThan(200);
  });
});
