// Each note that is read knows the element that it came from.
import fc from 'fast-check';
import { XmlDocument, type XmlElement } from 'libxml2-wasm';
import { describe, expect, it } from 'vitest';
import { readMusicXml } from '../../src/interchange/musicxml-read';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { plannedPassages } from './passages';

describe('sources', () => {
  it('name the note elements by part, measure and place', () => {
    let seen = 0;
    fc.assert(
      fc.property(plannedPassages, (planned) => {
        const xml = writeMusicXml(planned);
        const read = readMusicXml(xml);
        if (!read.ok) throw new Error(JSON.stringify(read.problems));
        const { passage, sources } = read.value;
        const doc = XmlDocument.fromString(xml);
        for (const pluck of passage.plucks) {
          const own = sources.get(pluck.id) ?? [];
          let length = 0;
          for (const { part, measure, note } of own) {
            const path = `part[@id="${part}"]/measure[${measure + 1}]/note[${note + 1}]`;
            const element = doc.root.get(path) as XmlElement;
            expect(element.get('pitch/step')?.content).toBe(pluck.pitch.letter);
            expect(Number(element.get('pitch/alter')?.content ?? 0)).toBe(pluck.pitch.alter);
            length += Number(element.get('duration')?.content);
          }
          expect(length).toBe(pluck.duration);
          seen++;
        }
        for (const sweep of passage.sweeps) expect(sources.get(sweep.id)?.length).toBeGreaterThan(1);
        doc.dispose();
      }),
      { numRuns: 30, seed: 4 },
    );
    expect(seen).toBeGreaterThan(300);
  });
});
