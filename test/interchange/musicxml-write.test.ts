// What is written: valid, full bars, the contract's marks.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { METRES, plannedPassages } from './passages';
import { hasSchema, schemaErrors } from './schema';

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
