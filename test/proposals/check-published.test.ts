// The 22 published parts: they were played, so hardly an onset may draw an error; and each clash of the table is named.
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readPart } from '../../src/interchange/read-part';
import { barAndBeat } from '../../src/music/metre';
import { checkPart } from '../../src/proposals/check';
import { DATA, dataBytes, dataFiles, hasData, needsData } from '../shared/data';

const FACTS = join(DATA, '..', 'FACTS.md');
const isHere = hasData && existsSync(FACTS);

interface Row {
  readonly name: string;
  readonly onsets: number;
  readonly moves: number;
  /** '170 D' */
  readonly clashes: readonly string[];
}

/** The table of the published parts: onsets, pedal moves as spelled, clashes by bar and letter. */
function table(): Row[] {
  return readFileSync(FACTS, 'utf8')
    .split('\n')
    .map((line) => line.split('|').map((cell) => cell.trim()))
    .filter((cells) => /^\d+$/.test(cells[2] ?? '') && /^\d+$/.test(cells[3] ?? ''))
    .map((cells) => ({
      name: cells[1] as string,
      onsets: Number(cells[2]),
      moves: Number(cells[3]),
      clashes: [...(cells[5] ?? '').matchAll(/bar (\d+) ([A-G])\[/g)].map((m) => `${m[1]} ${m[2]}`),
    }));
}

describe.skipIf(!isHere)(`published parts${needsData}`, () => {
  const rows = isHere ? table() : [];
  const files = isHere ? dataFiles('harp-parts').filter((f) => f.endsWith('.musicxml')) : [];
  const reports = rows.map((row) => {
    const file = files.find((f) => f.startsWith(row.name)) as string;
    const read = readPart(file, dataBytes('harp-parts', file));
    if (!read.ok) throw new Error(file);
    return { row, passage: read.value.passage, report: checkPart(read.value) };
  });

  it('draw an error at one onset in a hundred at most, read at ♩ = 90', () => {
    expect(rows).toHaveLength(22);
    let [onsets, wrong] = [0, 0];
    for (const { report } of reports) {
      const errors = report.problems.filter((p) => p.severity === 'error');
      onsets += report.onsets;
      wrong += new Set(errors.map((p) => (p.where.kind === 'music' ? p.where.onset : -1))).size;
      expect(report.tempoAssumed).toBe(true);
    }
    expect(onsets).toBe(rows.reduce((sum, r) => sum + r.onsets, 0));
    expect(wrong * 100).toBeLessThanOrEqual(onsets);
  });

  it('have every clash of the table named at its bar, and no other', () => {
    for (const { row, passage, report } of reports) {
      const named = report.problems
        .filter((p) => p.code === 'clash' && p.severity === 'error' && p.where.kind === 'music')
        .map((p) =>
          p.where.kind === 'music'
            ? `${barAndBeat(passage.bars, p.where.onset).bar} ${p.detail?.['letter']}`
            : '',
        );
      expect(named, row.name).toEqual(row.clashes);
    }
    expect(rows.flatMap((r) => r.clashes)).toHaveLength(8);
  });

  it('give the feet time everywhere, and ask for as many moves as the table says their spelling costs', () => {
    let same = 0;
    for (const { row, passage, report } of reports) {
      expect(report.pedals).toBe('as-printed');
      expect(
        report.problems.filter((p) => p.code === 'pedal-time' && p.severity === 'error'),
        row.name,
      ).toEqual([]);
      // The table counts double alterations and clashes in its own way: those parts are left out.
      const plain = passage.plucks.every((p) => Math.abs(p.pitch.alter) < 2) && row.clashes.length === 0;
      if (!plain) continue;
      same++;
      expect(report.planned.moves.length, row.name).toBe(row.moves);
    }
    expect(same).toBeGreaterThanOrEqual(14);
  });
});
