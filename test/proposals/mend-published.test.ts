// Published harp parts, mended and written back into their own files: no error when read back, what is heard kept,
// and every line of the file that has nothing to do with a repair as it was.
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readPart } from '../../src/interchange/read-part';
import { midiOf, pitchName } from '../../src/music/pitch';
import { checkPart } from '../../src/proposals/check';
import { mendFile } from '../../src/proposals/mend/write';
import { DATA, dataBytes, dataFiles, hasData, needsData } from '../shared/data';

const has = hasData && existsSync(join(DATA, 'harp-parts'));

/** Lines of a text that are not in another, counted with their number. */
function linesBut(text: string, other: string): number {
  const left = new Map<string, number>();
  for (const line of other.split('\n')) left.set(line, (left.get(line) ?? 0) + 1);
  let n = 0;
  for (const line of text.split('\n')) {
    const known = left.get(line) ?? 0;
    if (known > 0) left.set(line, known - 1);
    else n++;
  }
  return n;
}

describe.skipIf(!has)(`22 published parts${needsData}`, () => {
  const parts = has
    ? dataFiles('harp-parts')
        .filter((name) => name.endsWith('.musicxml'))
        .map((name) => {
          const bytes = dataBytes('harp-parts', name);
          const read = readPart(name, bytes);
          if (!read.ok) throw new Error(name);
          const errors = checkPart(read.value).problems.filter((p) => p.severity === 'error').length;
          const mended = mendFile(bytes, read.value, { kind: 'musicxml' });
          const back = readPart(name, mended.bytes);
          if (!back.ok) throw new Error(`${name}: ${back.problems[0]?.code}`);
          return { name, bytes, errors, mended, before: read.value, after: back.value };
        })
    : [];

  it('are read back without an error', () => {
    expect(parts).toHaveLength(22);
    const left = parts.filter(
      (p) => p.mended.remaining.length > 0 || checkPart(p.after).problems.some((x) => x.severity === 'error'),
    );
    expect(left.map((p) => p.name)).toEqual([]);
  });

  it('stay as they are to the byte where nothing was wrong', () => {
    const sound = parts.filter((p) => p.errors === 0);
    expect(sound.length).toBeGreaterThan(5);
    for (const p of sound) expect(Buffer.compare(Buffer.from(p.mended.bytes), Buffer.from(p.bytes))).toBe(0);
  });

  it('keep what is heard: nothing falls silent but octaves of what still sounds, line and bass stay', () => {
    let [notes, changed, silent, topLost] = [0, 0, 0, 0];
    for (const { before, after } of parts) {
      const names = (p: typeof before) =>
        p.passage.plucks.map((n) => `${n.onset} ${pitchName(n.pitch)} ${n.hand}`);
      const kept = new Set(names(after));
      const keys = new Set(after.passage.plucks.map((n) => `${n.onset} ${midiOf(n.pitch)}`));
      const classes = new Set(after.passage.plucks.map((n) => `${n.onset} ${midiOf(n.pitch) % 12}`));
      const top = new Map<number, number>();
      for (const n of before.passage.plucks)
        top.set(n.onset, Math.max(top.get(n.onset) ?? 0, midiOf(n.pitch)));
      notes += before.passage.plucks.length;
      changed += names(before).filter((n) => !kept.has(n)).length;
      for (const n of before.passage.plucks) {
        if (!classes.has(`${n.onset} ${midiOf(n.pitch) % 12}`)) silent++;
      }
      for (const [onset, key] of top) if (!keys.has(`${onset} ${key}`)) topLost++;
    }
    expect(notes).toBeGreaterThan(9000);
    expect(changed / notes).toBeLessThan(0.02);
    expect([silent, topLost]).toEqual([0, 0]);
  });

  it('change few lines of their files for each repair', () => {
    for (const { bytes, mended } of parts) {
      const text = new TextDecoder().decode(mended.bytes);
      const changed = linesBut(text, new TextDecoder().decode(bytes));
      const edits = mended.rounds.flatMap((r) =>
        r.answer.mendings.flatMap((m) => m.repairs[0]?.steps.flatMap((s) => s.edits) ?? []),
      );
      expect(changed).toBeLessThanOrEqual(24 * edits.length);
    }
  });
});
