// The tables of the hand and of the compass, and the limits drawn from them.
import { readFileSync, readdirSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { FINGER_GAPS, SPANS, fingerGap } from '../../src/harp/hands';
import { CONCERT_HARP } from '../../src/harp/instrument';
import { LANDMARKS, REGISTERS, registerOf } from '../../src/harp/registers';
import { stringName } from '../../src/harp/strings';
import { PART_RULES, RULES } from '../../src/playability/judge';
import { DEFAULT_LIMITS } from '../../src/playability/limits';
import { repeatLimit } from '../../src/playability/rules/repeat-rate';

describe('tables', () => {
  it('name every landmark by its string', () => {
    for (const mark of Object.values(LANDMARKS)) expect(stringName(mark.string)).toBe(mark.name);
  });
  it('put every string of the concert harp in one register', () => {
    let next = CONCERT_HARP.lowest;
    for (const r of REGISTERS) {
      expect(r.lowest).toBe(next);
      expect(r.name).toBe(`${stringName(r.lowest)}–${stringName(r.highest)}`);
      next = r.highest + 1;
    }
    expect(next - 1).toBe(CONCERT_HARP.highest);
    for (let s = 0; s <= 46; s++) {
      const r = registerOf(s);
      expect(s >= r.lowest && s <= r.highest).toBe(true);
    }
  });
  it('give gaps in strings: an octave is 7, a fourth 3, a sixth 5', () => {
    expect(FINGER_GAPS.map((g) => [g.upper, g.lower, g.strings])).toEqual([
      [1, 2, 7],
      [2, 3, 3],
      [3, 4, 3],
      [2, 4, 5],
    ]);
    expect(fingerGap(1, 4)).toBe(SPANS.safe.strings);
  });
  it('have a source and a positive value for every limit and rule', () => {
    for (const limit of Object.values(DEFAULT_LIMITS)) {
      expect(limit.value).toBeGreaterThan(0);
      expect(Number.isInteger(limit.value)).toBe(true);
      expect(limit.source).not.toBe('');
    }
    expect(new Set(RULES.map((r) => r.code)).size).toBe(RULES.length);
    for (const rule of RULES) expect(rule.source).not.toBe('');
  });
  it('repeat faster the higher the string, in proportion between C3 and C4', () => {
    const rates = Array.from({ length: 47 }, (_, s) => repeatLimit(DEFAULT_LIMITS, s));
    expect(rates).toEqual([...rates].sort((a, b) => a - b));
    expect([rates[0], rates[13], rates[21], rates[46]]).toEqual([2500, 2500, 4000, 4000]);
  });
});

describe('the table of the README', () => {
  const folder = new URL('../../src/playability/', import.meta.url);
  const rows = readFileSync(new URL('README.md', folder), 'utf8')
    .split('\n')
    .filter((line) => line.startsWith('|'));
  it('has every rule with its file and its worked test', () => {
    const files = readdirSync(new URL('rules/', folder)).map((name) => name.replace(/\.ts$/, ''));
    const missing = files.filter((name) => !rows.some((row) => row.split('|')[3]?.includes(`\`${name}\``)));
    expect(missing).toEqual([]);
    for (const { code } of PART_RULES)
      expect(
        rows.some((row) => row.includes(`\`${code}\``)),
        code,
      ).toBe(true);
  });
  it('names tests that are there', () => {
    const named = { hand: 'rules-hand', harp: 'rules-harp', part: 'rules-part' } as const;
    for (const row of rows.slice(2)) {
      const [kind, titles] = (row.split('|')[4] ?? '').trim().split(': ');
      if (titles === undefined) continue;
      const file = new URL(`${named[kind as keyof typeof named]}.test.ts`, import.meta.url);
      const text = readFileSync(file, 'utf8');
      for (const title of titles.split(', ')) expect(text, row).toContain(`describe('${title}`);
    }
  });
});
