/** Golden spectra of a handful of strings: a change of sound must be meant. UPDATE_GOLDEN=1 writes them anew. */
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { expect, it } from 'vitest';
import { stringPitch } from '../../src/harp/strings';
import { midiOf } from '../../src/music/pitch';
import { renderString } from '../../src/sound/render-string';
import { stringModel } from '../../src/sound/string-model';
import { amplitudeAt, dB, equalTempered, stretch } from './measure';

const RATE = 48_000;
const FILE = fileURLToPath(new URL('golden-spectra.json', import.meta.url));
const TOLERANCE = 1;
/** Levels below this are not compared. */
const FLOOR = -70;

type Golden = Record<string, number[]>;

/** Level of the first twelve partials in dB of full scale, early in the sound. */
function measure(): Golden {
  const out: Golden = {};
  for (const string of [0, 11, 12, 21, 34, 46]) {
    for (const technique of ['ordinary', 'table', 'harmonic', 'etouffe', 'nail'] as const) {
      for (const layer of ['soft', 'loud'] as const) {
        const x = renderString({ string, position: 0, technique, layer, sampleRate: RATE, maxSeconds: 0.5 });
        const f0 = equalTempered(midiOf(stringPitch(string, 0)));
        const b = stringModel(string).stiffness;
        const part = stretch(x, RATE, 0, Math.max(6 / f0, 0.05));
        const levels: number[] = [];
        for (let n = 1; n <= 12; n++) {
          const f = n * f0 * Math.sqrt((1 + b * n * n) / (1 + b));
          if (f > 0.44 * RATE) break;
          levels.push(Math.round(10 * Math.max(FLOOR, dB(amplitudeAt(part, f) + 1e-9))) / 10);
        }
        out[`${string} ${technique} ${layer}`] = levels;
      }
    }
  }
  return out;
}

it('golden spectra hold within 1 dB', () => {
  const found = measure();
  if (process.env['UPDATE_GOLDEN'] !== undefined) writeFileSync(FILE, toText(found));
  expect(existsSync(FILE), 'run once with UPDATE_GOLDEN=1').toBe(true);
  const golden = JSON.parse(readFileSync(FILE, 'utf8')) as Golden;
  expect(Object.keys(found)).toEqual(Object.keys(golden));
  for (const [name, levels] of Object.entries(golden)) {
    expect(found[name]?.length, name).toBe(levels.length);
    levels.forEach((level, i) => {
      if (level <= FLOOR + 1)
        expect(found[name]![i]!, `${name}, partial ${i + 1}`).toBeLessThanOrEqual(FLOOR + 3);
      else
        expect(Math.abs(found[name]![i]! - level), `${name}, partial ${i + 1}`).toBeLessThanOrEqual(
          TOLERANCE,
        );
    });
  }
});

const toText = (golden: Golden): string =>
  `{\n${Object.entries(golden)
    .map(([name, levels]) => `  ${JSON.stringify(name)}: ${JSON.stringify(levels).replaceAll(',', ', ')}`)
    .join(',\n')}\n}\n`;
