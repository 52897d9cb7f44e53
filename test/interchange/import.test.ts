// Published parts import without loss: counts and lengths against a plain walk by another parser.
import { strFromU8, unzipSync } from 'fflate';
import { describe, expect, it } from 'vitest';
import { TICKS_PER_QUARTER } from '../../src/base/units';
import { type ReadPart, readPart } from '../../src/interchange/read-part';
import { midiOf } from '../../src/music/pitch';
import { dataBytes, dataFiles, hasData, needsData } from '../shared/data';
import { strokes, walk } from './walk';

const text = (bytes: Uint8Array): string => {
  if (bytes[0] !== 0x50) return strFromU8(bytes);
  const entries = unzipSync(bytes);
  const name = Object.keys(entries).find((n) => !n.startsWith('META-INF') && /xml$/.test(n)) as string;
  return strFromU8(entries[name] as Uint8Array);
};

/** What a file holds by the plain walk is what is read: each stroke where it stands, as long as it sounds, no more. */
function expectAll(folder: string, file: string): ReadPart {
  const bytes = dataBytes(folder, file);
  const read = readPart(file, bytes);
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  const { passage, sources, unread } = read.value;
  const part = [...sources.values()][0]?.[0]?.part;
  const walked = walk(text(bytes), part);
  const struck = strokes(walked, TICKS_PER_QUARTER);
  expect(passage.form).toBeUndefined();
  expect(passage.sweeps).toEqual([]);
  const trembled = passage.trembles.flatMap((tremble) =>
    tremble.notes.map((note) => ({ ...note, onset: tremble.onset, duration: tremble.duration })),
  );
  const ours = [...passage.plucks, ...trembled].map((pluck) => {
    const source = sources.get(pluck.id)?.[0];
    return { ...pluck, place: `${source?.measure} ${source?.note}` };
  });
  expect(ours).toHaveLength(struck.length);
  const byPlace = new Map(struck.map((stroke) => [`${stroke.bar} ${stroke.index}`, stroke]));
  expect(byPlace.size).toBe(struck.length);
  const small = struck.some((stroke) => stroke.grace && stroke.bar === 0 && stroke.onset === 0);
  let length = 0;
  let walkedLength = 0;
  for (const note of ours) {
    const stroke = byPlace.get(note.place);
    expect(stroke?.midi).toBe(midiOf(note.pitch));
    if (stroke === undefined || stroke.end === stroke.onset || (small && stroke.bar === 0)) continue;
    if (trembled.some((one) => one.id === note.id)) {
      // Two chords that alternate: each sounds in the time of both.
      expect(note.onset).toBeLessThanOrEqual(stroke.onset);
      expect(note.onset + note.duration).toBeGreaterThanOrEqual(stroke.end);
      continue;
    }
    length += note.duration;
    walkedLength += stroke.end - stroke.onset;
    expect(note.onset).toBe(stroke.onset);
  }
  expect(length).toBe(walkedLength);
  const orphans = struck.filter((stroke) => {
    const note = walked.notes.find((n) => n.bar === stroke.bar && n.index === stroke.index);
    return note?.tieStop === true;
  });
  const told = unread.filter((u) => u.what === 'tie' && u.text === 'without a beginning');
  expect(told.reduce((sum, u) => sum + u.count, 0)).toBe(orphans.length);
  expect(passage.bars.map((bar) => bar.number)).toEqual(walked.bars.map((bar) => bar.number));
  return read.value;
}

describe.skipIf(!hasData)(`the shared harp parts${needsData}`, () => {
  const files = hasData ? dataFiles('harp-parts') : [];

  it.each(files)('%s', (file) => {
    const { unread } = expectAll('harp-parts', file);
    expect(unread.filter((u) => u.what !== 'key')).toEqual([]);
  });

  it('are 22', () => expect(files).toHaveLength(22));
});

describe.skipIf(!hasData)(`piano pieces and the score${needsData}`, () => {
  const files = hasData ? dataFiles('piano') : [];

  it.each(files)('%s', (file) => {
    expect(expectAll('piano', file).passage.plucks.length).toBeGreaterThan(50);
  });

  it('are 36', () => expect(files).toHaveLength(36));

  it('finds the harp in an orchestral score', () => {
    for (const file of hasData ? dataFiles('scores') : []) {
      const read = expectAll('scores', file);
      expect(read.partName).toMatch(/har[pf]|arpa/i);
      expect(read.passage.plucks.length).toBeGreaterThan(50);
    }
  });
});
