// The worked example of presets/figures/README.md, and mistakes in a file of the user's own.
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { seededRandom } from '../../src/base/random';
import { familyOf } from '../../src/figures/interpreter';
import { parseFigure } from '../../src/figures/language';
import { CONCERT_HARP } from '../../src/harp/instrument';
import { propose } from '../../src/proposals/propose';
import { progressionOf } from './progressions';

const readme = readFileSync(new URL('../../presets/figures/README.md', import.meta.url), 'utf8');
const example = /```json\n([\s\S]*?)```/.exec(readme)?.[1] ?? '';
const wave = readFileSync(new URL('../../presets/figures/wave.json', import.meta.url), 'utf8');

describe('a figure of one’s own', () => {
  it('is read from the worked example and plays', () => {
    const figure = parseFigure(example);
    expect(figure.ok).toBe(true);
    if (!figure.ok) return;
    const draft = familyOf(figure.value).draft({
      progression: progressionOf('C | Am | F | G7', { beats: 4, unit: 4 }),
      title: '',
      milliBpm: 80_000,
      instrument: CONCERT_HARP,
      random: seededRandom('worked example'),
    });
    expect(draft.ok && draft.value.passage.plucks.length).toBeGreaterThan(10);
  });

  it('is proposed by its id beside the presets', () => {
    const figure = parseFigure(example);
    if (!figure.ok) throw new Error('the worked example is not read');
    const answer = propose({
      text: 'Ebmaj7 | Cm9',
      metre: { beats: 4, unit: 4 },
      milliBpm: 80_000,
      seed: '1',
      count: 2,
      families: [figure.value.id],
      figures: [figure.value],
      start: null,
      aim: 'practical',
      key: null,
      title: '',
    });
    expect(answer.proposals.map((p) => p.family)).toContain('rocking-thirds');
  });

  it.each([
    [
      'an unknown form',
      ['variants', '1', 'right', 'form'],
      'wide',
      'variants.1.right.form',
      /one of close, open/,
    ],
    [
      'a bad step',
      ['variants', '0', 'layers', '0', 'play', '0', '1'],
      'L1 Q2',
      'variants.0.layers.0.play.0.1',
      /steps such as/,
    ],
    ['a missing key', ['variants', '0', 'rate'], undefined, 'variants.0.rate', /missing/],
    ['an unknown key', ['colour'], 1, 'colour', /no such key/],
    [
      'a string that is none',
      ['variants', '0', 'left', 'windows', '0', '0'],
      'H2',
      'variants.0.left.windows.0.0',
      /natural string/,
    ],
  ])('answers %s with its place', (_name, path, value, place, wanted) => {
    const data: unknown = JSON.parse(wave);
    let at = data as Record<string, unknown>;
    for (const key of path.slice(0, -1)) at = at[key] as Record<string, unknown>;
    at[path.at(-1) as string] = value;
    const read = parseFigure(JSON.stringify(data));
    expect(read.ok).toBe(false);
    if (read.ok) return;
    expect(read.problems[0]?.value).toBe(place);
    expect(String(read.problems[0]?.limit)).toMatch(wanted);
  });

  it('answers text that is no JSON with line and column', () => {
    const read = parseFigure('{\n  "id": "x",\n  "name" 3}');
    expect(!read.ok && read.problems[0]?.value).toBe('line 3, column 10');
  });
});
