// Files that are broken, hostile or too large: one problem each, told in one sentence; the largest that are read, read.
import { describe, expect, it } from 'vitest';
import { noteTicks, ticks } from '../../src/base/units';
import { readPart } from '../../src/interchange/read-part';
import { sentence } from '../../src/playability/sentences';
import { BAD_FILES } from '../bench/_bad-files';

const READ = new Set([
  '1,600 bars of twelve notes',
  '5,000 bars of twelve notes',
  '30 parts of 1,300 notes',
  'MIDI, 20,000 notes',
  'MIDI, 60,000 notes',
]);
/** Packing them takes longer than refusing them; the reader's own test has one. */
const SLOW = 'zip bomb';

describe('bad files', () => {
  it.each(BAD_FILES.filter(([what]) => !what.startsWith(SLOW)))('%s', (what, file, make) => {
    const read = readPart(file, make());
    expect(read.ok).toBe(READ.has(what));
    if (read.ok) return;
    expect(read.problems).toHaveLength(1);
    const said = sentence(read.problems[0] as (typeof read.problems)[number], []);
    expect(said).toMatch(/^[^.].*\.$/);
    expect(said).not.toMatch(/undefined(?! entity)|\[object|NaN/);
    expect(said.length).toBeLessThan(200);
  });
});

/** A variable-length quantity of two bytes at the most. */
const wait = (n: number): number[] => (n < 128 ? [n] : [0x80 | (n >> 7), n & 0x7f]);

describe('MIDI with a change at every turn', () => {
  it('is gone through once', () => {
    // 18,000 keys and as many metres, a note at each: what is looked for anew at each note would take minutes.
    const track: number[] = [];
    for (let i = 0; i < 18_000; i++) {
      track.push(...wait(24), 0xff, 0x59, 2, i % 2, 0, 0, 0xff, 0x58, 4, 1 + (i % 3), 4, 24, 8);
      track.push(0, 0x90, 61, 64, ...wait(12), 61, 0);
    }
    track.push(0, 0xff, 0x2f, 0);
    const bytes = new Uint8Array(22 + track.length);
    bytes.set([0x4d, 0x54, 0x68, 0x64, 0, 0, 0, 6, 0, 0, 0, 1, 0, 96, 0x4d, 0x54, 0x72, 0x6b]);
    new DataView(bytes.buffer).setUint32(18, track.length);
    bytes.set(track, 22);
    const read = readPart('a.mid', bytes);
    if (!read.ok) throw new Error(JSON.stringify(read.problems));
    const { passage } = read.value;
    expect(passage.plucks).toHaveLength(18_000);
    expect(passage.plucks[1]?.onset).toBe(ticks(36 * 35 + 24 * 35));
    expect(passage.keys?.length).toBeGreaterThan(17_000);
    expect(passage.bars.filter((bar) => bar.length < noteTicks(1, 4)).length).toBeGreaterThan(10_000);
  });
});
