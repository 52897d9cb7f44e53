// Published parts import without loss: counts and lengths against a plain walk by another parser.
import { strFromU8, unzipSync } from 'fflate';
import { describe, expect, it } from 'vitest';
import { TICKS_PER_QUARTER } from '../../src/base/units';
import { readPart } from '../../src/interchange/read-part';
import { midiOf } from '../../src/music/pitch';
import { dataBytes, dataFiles, hasData, needsData } from '../shared/data';
import { walk } from './walk';

const text = (bytes: Uint8Array): string => {
  if (bytes[0] !== 0x50) return strFromU8(bytes);
  const entries = unzipSync(bytes);
  const name = Object.keys(entries).find((n) => !n.startsWith('META-INF') && /xml$/.test(n)) as string;
  return strFromU8(entries[name] as Uint8Array);
};

describe.skipIf(!hasData)(`the shared harp parts${needsData}`, () => {
  const files = hasData ? dataFiles('harp-parts') : [];

  it.each(files)('%s', (file) => {
    const bytes = dataBytes('harp-parts', file);
    const read = readPart(file, bytes);
    if (!read.ok) throw new Error(JSON.stringify(read.problems));
    const { passage, unread, handsGiven } = read.value;
    const { notes, bars } = walk(text(bytes));
    const struck = notes.filter((note) => !note.rest && !note.tieStop);
    expect(passage.plucks).toHaveLength(struck.length);
    const keys = (list: readonly number[]) => [...list].sort((a, b) => a - b);
    expect(keys(passage.plucks.map((p) => midiOf(p.pitch)))).toEqual(keys(struck.map((n) => n.midi)));
    expect(passage.bars.map((bar) => bar.number)).toEqual(bars.map((bar) => bar.number));
    // Sum of all durations, ties included, in ticks.
    const walked = notes
      .filter((note) => !note.rest)
      .reduce((sum, note) => sum + (note.duration * TICKS_PER_QUARTER) / (bars[note.bar]?.divisions ?? 1), 0);
    const ours = passage.plucks.reduce((sum, p) => sum + p.duration, 0);
    expect(Math.abs(ours - walked)).toBeLessThan(1 + passage.plucks.length / 2);
    // Bars whose divisions are no whole ticks are rounded to the tick, each on its own.
    const reach = bars.reduce((sum, bar) => sum + (bar.reach * TICKS_PER_QUARTER) / bar.divisions, 0);
    const length = passage.bars.reduce((sum, bar) => sum + bar.length, 0);
    expect(Math.abs(length - reach)).toBeLessThan(1 + bars.length / 2);
    expect(unread.filter((u) => u.what !== 'key')).toEqual([]);
    expect(typeof handsGiven).toBe('boolean');
  });

  it('are 22', () => expect(files).toHaveLength(22));
});

describe.skipIf(!hasData)(`piano pieces and the score${needsData}`, () => {
  it.each(hasData ? dataFiles('piano') : [])('%s', (file) => {
    const read = readPart(file, dataBytes('piano', file));
    if (!read.ok) throw new Error(JSON.stringify(read.problems));
    const { passage } = read.value;
    const count = passage.plucks.length + passage.trembles.reduce((n, t) => n + t.notes.length, 0);
    expect(count).toBeGreaterThan(50);
    expect(passage.form).toBeUndefined();
    for (const pluck of passage.plucks) {
      expect(Number.isInteger(pluck.onset) && pluck.onset >= 0 && pluck.duration > 0).toBe(true);
    }
  });

  it('finds the harp in an orchestral score', () => {
    for (const file of hasData ? dataFiles('scores') : []) {
      const read = readPart(file, dataBytes('scores', file));
      if (!read.ok) throw new Error(JSON.stringify(read.problems));
      expect(read.value.partName).toMatch(/har[pf]|arpa/i);
      expect(read.value.passage.plucks.length).toBeGreaterThan(50);
    }
  });
});
