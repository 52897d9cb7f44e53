// The rules over published harp parts: what another reading found in them is found again.
import { existsSync, readFileSync, readdirSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { CONCERT_HARP } from '../../src/harp/instrument';
import { NATURAL_SETTING } from '../../src/harp/setting';
import { readMusicXml } from '../../src/interchange/musicxml-read';
import { barAndBeat } from '../../src/music/metre';
import { DEFAULT_LIMITS } from '../../src/playability/limits';
import { indexPassage } from '../../src/playability/passage-index';
import type { Rule } from '../../src/playability/rule';
import { rule as clash } from '../../src/playability/rules/clash';
import { rule as fingers } from '../../src/playability/rules/four-fingers';
import { rule as span } from '../../src/playability/rules/span';

const FOLDER = new URL('../../../shared/data/harp-parts/', import.meta.url);
const names = existsSync(FOLDER)
  ? readdirSync(FOLDER)
      .filter((f) => f.endsWith('.musicxml'))
      .sort()
  : [];
if (names.length === 0) console.warn('published harp parts are not here: skipped');

const parts = names.map((name) => {
  const read = readMusicXml(new Uint8Array(readFileSync(new URL(name, FOLDER))));
  if (!read.ok) throw new Error(`${name}: ${read.problems[0]?.code}`);
  const { passage } = read.value;
  const planned = { passage, instrument: CONCERT_HARP, start: NATURAL_SETTING, moves: [], tuning: {} };
  return { name, input: { planned, limits: DEFAULT_LIMITS, index: indexPassage(planned) } };
});

/** 'file bar what' of the errors of a rule in all parts. */
const errors = (rule: Rule): string[] =>
  parts.flatMap(({ name, input }) =>
    rule
      .check(input)
      .filter((p) => p.severity === 'error' && p.detail?.['kind'] !== 'string')
      .map((p) => {
        const at = p.where.kind === 'music' ? barAndBeat(input.planned.passage.bars, p.where.onset).bar : '';
        return `${name.slice(0, 14)} bar ${at}: ${p.value}`;
      }),
  );

describe.skipIf(names.length === 0)('published parts', () => {
  it('have the clashes of the table: one letter in two inflections at one onset, eight times', () => {
    expect(errors(clash)).toEqual([
      'n26880--007-pa bar 170: D♭ and D',
      'n26881--009-pa bar 54: G and G♯',
      'n26881--009-pa bar 55: G and G♯',
      'n26881--009-pa bar 56: G and G♯',
      'r-1455-stefani bar 51: B♭ and B',
      'r-1564--001-00 bar 12: E♭ and E',
      'r-1564--001-00 bar 12: E♭ and E',
      'r-1564--001-00 bar 10: E♭ and E',
    ]);
  });
  it('have a fifth note in one hand at three onsets', () => {
    expect(errors(fingers).map((e) => e.slice(0, 5) + e.slice(-1))).toEqual(['r-3335', 'r-6915', 'r-6915']);
  });
  it('span over an eleventh in two parts of 22, once and eleven times', () => {
    const wide = errors(span);
    expect(wide.filter((e) => e.startsWith('n26880--007'))).toHaveLength(1);
    expect(wide.filter((e) => e.startsWith('n26881--003'))).toHaveLength(11);
    expect(wide).toHaveLength(12);
  });
});
