// The page's work goes into a file and comes back, brought part and all; the terminal reads the same file.
import { describe, expect, it } from 'vitest';
import { NO_PART, toBase64 } from '../../src/app/part-input';
import { openSaved, savedText } from '../../src/app/saved';
import { DEFAULT_WORK } from '../../src/app/work';
import { readPart } from '../../src/interchange/read-part';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { propose } from '../../src/proposals/propose';
import { requestOf } from '../../src/app/work';
import { openPart } from '../../src/worker/part-answers';

const work = { ...DEFAULT_WORK, asked: DEFAULT_WORK.input, desk: 'part' as const, rate: 0.5 };
const proposal = propose({ ...requestOf(work.input), count: 1 }).proposals[0];
if (proposal === undefined) throw new Error('no proposal');
const xml = new TextEncoder().encode(writeMusicXml(proposal.planned));
const part = { ...NO_PART, file: { name: 'quay.musicxml', data: toBase64(xml) }, tempo: 72 };
const opened = openPart({ name: 'quay.musicxml', bytes: xml, part: null, milliBpm: 72_000 });
if (!opened.ok) throw new Error('not opened');
const text = savedText({ work, part }, proposal, opened.value.report);
const bytes = new TextEncoder().encode(text);

describe('saved work', () => {
  it('comes back as it was', () => {
    expect(openSaved(bytes)).toEqual({ ok: true, value: { work, part } });
  });

  it('is a part for the terminal: the one in view, or the one that is named', () => {
    const inView = readPart('quay.harpwright.json', bytes);
    expect(inView.ok && inView.value.passage).toEqual(opened.value.report.planned.passage);
    const named = readPart('quay.harpwright.json', bytes, { part: 'proposal' });
    expect(named.ok && named.value.passage).toEqual(proposal.planned.passage);
  });

  it('is refused where it is something else', () => {
    const read = openSaved(new TextEncoder().encode('{"eggs":3}'));
    expect(read.ok ? 'opened' : read.problems.map((p) => p.code)).toEqual(['work-kind']);
  });
});
