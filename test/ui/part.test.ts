// A part that is brought: read, kept, undone; a bad file leaves what was open.
import { describe, expect, it } from 'vitest';
import { fromBase64, toBase64 } from '../../src/app/part-input';
import { type PartDesk, createPartDesk } from '../../src/app/part.svelte';
import { fixAt } from '../../src/app/note-fixes';
import { readPart } from '../../src/interchange/read-part';
import { LEVER_HARP } from '../../src/harp/instrument';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import type { Passage } from '../../src/music/passage';
import { harpSpellings, midiOf } from '../../src/music/pitch';
import { checkPart } from '../../src/proposals/check';
import { propose } from '../../src/proposals/propose';
import { latestOnly } from '../../src/worker/latest';
import { mendDesk, mendedFile, openPart, reduceOpened } from '../../src/worker/part-answers';
import { planOpened, plannedFile } from '../../src/worker/part-planned';
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

const mend = mendDesk();
const desk = (keep: Memory): PartDesk =>
  createPartDesk({
    ask: latestOnly((q) => Promise.resolve(openPart(q))),
    mend: latestOnly((q) => Promise.resolve(mend(q))),
    reduce: latestOnly((q) => Promise.resolve(reduceOpened(q))),
    plan: latestOnly((q) => Promise.resolve(planOpened(q))),
    file: latestOnly((q) => Promise.resolve('asked' in q ? plannedFile(q) : mendedFile(q))),
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

  it('has its pedals planned anew, under what the plan is to keep to, and in its own file', async () => {
    const part = desk(memory(null));
    await part.opened;
    await part.bring(file('quay.musicxml', xml));
    part.change({ purpose: 'plan', plan: { aim: 'fewest', start: null, rules: { locked: { B: -1 } } } });
    await soon(0);
    const { planned } = part.view;
    if (planned?.kind !== 'pedals') throw new Error('no plan of pedals');
    expect(planned.answer.status).toBe('optimal');
    expect(planned.report?.problems.filter((p) => p.severity === 'error')).toEqual([]);
    const bytes = await part.ownFile();
    const read = readPart('quay.musicxml', bytes ?? new Uint8Array());
    if (!read.ok || planned.answer.status !== 'optimal') throw new Error('no file with a plan');
    expect(read.value.markings.settings[0]?.setting).toBe(planned.answer.planned.start);
    expect(read.value.markings.moves).toHaveLength(planned.answer.planned.moves.length);
    // A pedal that may not move and cannot stand: refused with ways out, and nothing is written.
    part.change({ plan: { aim: 'fewest', start: null, rules: { keepSpelling: true, locked: { E: 1 } } } });
    await soon(0);
    expect(part.view.planned).toMatchObject({ answer: { status: 'unplayable' }, report: null });
    expect(await part.ownFile()).toBeNull();
    expect(part.view.fault).toMatch(/^“quay\.musicxml”: .+\.$/);
    // For a lever harp the levers are planned.
    part.change({ harp: LEVER_HARP.id });
    await soon(0);
    await soon(0);
    expect(part.view.planned?.kind).toBe('levers');
  });

  it('gives back its own file with the repairs that were taken, or with all', async () => {
    const note = (step: string, alter: number, octave: number, v: number): string =>
      `<note><pitch><step>${step}</step><alter>${alter}</alter><octave>${octave}</octave></pitch><duration>4</duration><voice>${v}</voice><type>whole</type><staff>${v === 1 ? 1 : 2}</staff></note>`;
    // B against B♭ in each of two bars: no pedal gives both.
    const bar = (n: number, inside: string): string =>
      `<measure number="${n}">${inside}${note('B', 0, 4, 1)}<backup><duration>4</duration></backup>${note('B', -1, 3, 5)}</measure>`;
    const clashes = `<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Harp</part-name></score-part></part-list><part id="P1">${bar(1, '<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time><staves>2</staves></attributes>')}${bar(2, '')}</part></score-partwise>`;
    const part = desk(memory(null));
    await part.opened;
    await part.bring(file('clashes.musicxml', clashes));
    await soon(0);
    const errors = async (): Promise<number> => {
      const read = readPart('clashes.musicxml', (await part.ownFile()) ?? new Uint8Array());
      if (!read.ok) throw new Error('the file could not be read');
      return checkPart(read.value).problems.filter((p) => p.severity === 'error').length;
    };
    const [first] = part.view.mended?.mendings ?? [];
    expect(part.view.mended?.mendings).toHaveLength(2);
    expect(await errors()).toBe(0);
    part.change({ repairs: [first?.repairs[0]?.id ?? ''] });
    await soon(0);
    expect(await errors()).toBe(1);
    part.change({ repairs: [...(part.view.mended?.chosen ?? [])] });
    await soon(0);
    expect(await errors()).toBe(0);
  });

  it('a spelling that the user fixed is undone, kept, and written into the file', async () => {
    const keep = memory(null);
    const part = desk(keep);
    await part.opened;
    await part.bring(file('quay.musicxml', xml));
    const flat = part.view.opened?.passage.plucks.find((p) => p.pitch.alter === -1);
    if (flat === undefined || part.view.opened === null) throw new Error('no flat to respell');
    const other = harpSpellings(midiOf(flat.pitch)).find((p) => p.letter !== flat.pitch.letter);
    const fix = fixAt(part.view.opened.passage.bars, flat.onset, other ?? flat.pitch);
    if (fix === null) throw new Error('no place to name');
    part.change({ fixes: [fix] });
    await soon();
    const letter = (d: PartDesk): string | undefined =>
      d.view.opened?.passage.plucks.find(
        (p) => p.onset === flat.onset && midiOf(p.pitch) === midiOf(flat.pitch),
      )?.pitch.letter;
    expect(letter(part)).toBe(other?.letter);
    const again = desk(memory(keep.kept));
    await again.opened;
    expect(letter(again)).toBe(other?.letter);
    part.change({ purpose: 'plan' });
    await soon(0);
    const read = readPart('quay.musicxml', (await part.ownFile()) ?? new Uint8Array());
    const written = read.ok
      ? read.value.passage.plucks.find(
          (p) => p.onset === flat.onset && midiOf(p.pitch) === midiOf(flat.pitch),
        )
      : null;
    expect(written?.pitch.letter).toBe(other?.letter);
    part.undo();
    part.undo();
    await soon(0);
    expect(letter(part)).toBe(flat.pitch.letter);
  });

  it('a transposing part is refused, and read at the pitch that sounds where that is wanted', async () => {
    const part = desk(memory(null));
    await part.opened;
    const inB = xml.replace(
      /(<clef[^>]*number="2">.*?<\/clef>)/s,
      '$1<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>',
    );
    expect(inB).not.toBe(xml);
    await part.bring(file('in-b.musicxml', inB));
    expect([part.view.opened, part.view.transposing]).toEqual([null, 'in-b.musicxml']);
    await part.bringTransposed();
    expect([part.view.fault, part.view.transposing, part.view.input.transposed]).toEqual([null, null, true]);
    const lower = (p: Passage): number => Math.min(...p.plucks.map((n) => midiOf(n.pitch)));
    expect(part.view.opened === null ? 0 : lower(part.view.opened.passage)).toBe(
      lower(proposal.planned.passage) - 2,
    );
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
