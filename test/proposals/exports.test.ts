// What is exported, against outside judges: every family in seven metres, valid against the W3C MusicXML 4.0 schema,
// and read by verovio into the same notes at the same onsets.
import { beforeAll, describe, expect, it } from 'vitest';
import { TICKS_PER_QUARTER } from '../../src/base/units';
import { FAMILIES } from '../../src/figures/families';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { midiOf } from '../../src/music/pitch';
import { propose } from '../../src/proposals/propose';
import { schemaErrors, hasSchema } from '../interchange/schema';

const METRES = ['2/4', '3/4', '4/4', '5/4', '6/8', '9/8', '12/8'] as const;
const TEXTS = ['Dm9 | G7b9 | Cmaj7 | C6/9', 'Ab | Fm7 Bb7 | Eb/G | Gb'] as const;

const proposals = METRES.flatMap((metre, i) => {
  const [beats, unit] = metre.split('/').map(Number) as [number, number];
  const { proposals: list } = propose({
    text: TEXTS[i % 2] as string,
    metre: { beats, unit },
    milliBpm: 66_000,
    seed: metre.replace('/', '-'),
    count: 24,
    families: [],
    start: null,
    aim: 'practical',
    key: null,
    title: metre,
  });
  return list;
});

describe('exports of proposals', () => {
  it('come from every family', () => {
    const families = new Set(proposals.map((p) => p.family));
    expect(FAMILIES.map((f) => f.id).filter((id) => !families.has(id))).toEqual([]);
    expect(proposals.length).toBeGreaterThanOrEqual(7 * 20);
  });

  it.skipIf(!hasSchema)('are valid MusicXML 4.0 (skipped where the schema is not beside the project)', () => {
    const faults = proposals.flatMap((p) => {
      const errors = schemaErrors(writeMusicXml(p.planned));
      return errors === null ? [] : [`${p.id}: ${errors}`];
    });
    expect(faults.slice(0, 5)).toEqual([]);
  });

  describe('in verovio', () => {
    interface Toolkit {
      setOptions(options: object): void;
      loadData(data: string): boolean | number;
      renderToTimemap(options: object): { qstamp: number; on?: string[] }[];
      getMIDIValuesForElement(id: string): { pitch: number };
    }
    let toolkit: Toolkit;
    beforeAll(async () => {
      const [wasm, { VerovioToolkit }] = await Promise.all([import('verovio/wasm'), import('verovio/esm')]);
      toolkit = new VerovioToolkit(await wasm.default()) as unknown as Toolkit;
      toolkit.setOptions({ inputFrom: 'musicxml' });
    });

    it('are the same notes at the same onsets', () => {
      let compared = 0;
      const faults: string[] = [];
      for (const p of proposals.filter((_, i) => i % 3 === 0)) {
        const { passage } = p.planned;
        expect(toolkit.loadData(writeMusicXml(p.planned))).toBeTruthy();
        const onsets = new Map<string, number>();
        for (const moment of toolkit.renderToTimemap({ includeMeasures: false })) {
          for (const id of moment.on ?? []) onsets.set(id, moment.qstamp);
        }
        // Its time map plays a roll note by note: such notes may come later, within half a beat.
        const rolled = new Set(passage.rolls.flatMap((r) => r.plucks));
        for (const pluck of passage.plucks) {
          const late = rolled.has(pluck.id) ? 0.5 : 1e-3;
          const asked = pluck.onset / TICKS_PER_QUARTER;
          compared++;
          const at = onsets.get(pluck.id);
          const key = toolkit.getMIDIValuesForElement(pluck.id).pitch;
          if (at === undefined || at < asked - 1e-3 || at > asked + late) {
            faults.push(`${p.id} ${pluck.id}: at ${at}, not ${asked}`);
          }
          // A harmonic is written where the string is.
          if (key !== midiOf(pluck.pitch))
            faults.push(`${p.id} ${pluck.id}: key ${key}, not ${midiOf(pluck.pitch)}`);
        }
      }
      expect(faults.slice(0, 5)).toEqual([]);
      expect(compared).toBeGreaterThan(1000);
    });
  });
});
