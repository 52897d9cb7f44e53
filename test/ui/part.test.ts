// A part that is brought: read, kept, undone; a bad file leaves what was open.
import { describe, expect, it } from 'vitest';
import { fromBase64, toBase64 } from '../../src/app/part-input';
import { type PartDesk, createPartDesk } from '../../src/app/part.svelte';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { propose } from '../../src/proposals/propose';
import { latestOnly } from '../../src/worker/latest';
import { mendOpened, mendedFile, openPart, reduceOpened } from '../../src/worker/part-answers';
import { type Memory, memory } from './memory';

const [proposal] = propose({
  text: 'Ebmaj7 | Cm9',
  metre: { beats: 4, unit: 4 },
  milliBpm: 84_000,
  seed: '1',
  count: 1,
  families: ['rolled-chords'],
  start: null,
  aim: 'practical',
  key: null,
  title: 'Quay',
}).proposals;
if (proposal === undefined) throw new Error('no proposal to bring');
const xml = writeMusicXml(proposal.planned);

const desk = (keep: Memory): PartDesk =>
  createPartDesk({
    ask: latestOnly((q) => Promise.resolve(openPart(q))),
    mend: latestOnly((q) => Promise.resolve(mendOpened(q))),
    reduce: latestOnly((q) => Promise.resolve(reduceOpened(q))),
    file: latestOnly((q) => Promise.resolve(mendedFile(q))),
    keep,
  });
const file = (name: string, text: string): File => new File([text], name);
const soon = (ms = 450): Promise<void> => new Promise((resolve) => setTimeout(resolve, ms));

describe('a part that is brought', () => {
  it('is read, checked, kept and there again', async () => {
    const keep = memory(null);
    const part = desk(keep);
    await part.opened;
    await part.bring(file('quay.musicxml', xml));
    expect(part.view.fault).toBeNull();
    expect(part.view.opened?.passage.title).toBe('Quay');
    expect(part.view.opened?.report.problems.filter((p) => p.severity === 'error')).toEqual([]);
    await soon();
    const again = desk(memory(keep.kept));
    await again.opened;
    expect(again.view.opened?.passage).toEqual(part.view.opened?.passage);
    expect(again.view.input.file?.name).toBe('quay.musicxml');
  });

  it('a file that cannot be read is told of in a sentence, and what was open stays', async () => {
    const part = desk(memory(null));
    await part.opened;
    await part.bring(file('quay.musicxml', xml));
    const before = part.view.opened;
    await part.bring(file('list.txt', 'eggs, flour'));
    expect(part.view.fault).toMatch(/^“list\.txt”: .+\.$/);
    expect(part.view.opened).toBe(before);
    expect(part.view.input.file?.name).toBe('quay.musicxml');
  });

  it('opening another can be undone', async () => {
    const part = desk(memory(null));
    await part.opened;
    await part.bring(file('quay.musicxml', xml));
    await part.bring(file('other.musicxml', xml.replace('>Quay<', '>Other<')));
    expect(part.view.opened?.passage.title).toBe('Other');
    part.undo();
    await soon(0);
    expect(part.view.opened?.passage.title).toBe('Quay');
  });

  it('a tempo of the user’s own goes to the checker', async () => {
    const part = desk(memory(null));
    await part.opened;
    await part.bring(file('quay.musicxml', xml));
    part.change({ tempo: 200 });
    await soon(0);
    expect(part.view.opened?.passage.tempo).toEqual([{ onset: 0, milliBpm: 200_000 }]);
  });

  it('kept text that is junk is put aside', async () => {
    const keep = memory('{"version":9}');
    const part = desk(keep);
    await part.opened;
    expect(keep.asides).toEqual(['{"version":9}']);
    expect(part.view.opened).toBeNull();
  });

  it('bytes go to text and back', () => {
    const bytes = Uint8Array.from({ length: 40_000 }, (_, i) => (i * 31) % 256);
    expect(fromBase64(toBase64(bytes)).join()).toBe(bytes.join());
  });
});
