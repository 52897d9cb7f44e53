// Repairs in the user's own file: one taken singly, an easier line with the full one small, only the words concerned,
// repeats printed once, everything else as it was, and the second harp's part.
import { describe, expect, it } from 'vitest';
import { type PlannedPassage, settingAt } from '../../src/harp/planned';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { type ReadPart, readPart } from '../../src/interchange/read-part';
import { ticks } from '../../src/base/units';
import { pitchName } from '../../src/music/pitch';
import { checkPart } from '../../src/proposals/check';
import { mendPart } from '../../src/proposals/mend/mend';
import { printedNotes } from '../../src/proposals/mend/score-edits';
import { mendFile, repairFile, secondHarp } from '../../src/proposals/mend/write';
import { schemaErrors } from '../interchange/schema';
import { type Note, planned } from '../playability/build';

const utf8 = (text: string): Uint8Array => new TextEncoder().encode(text);
const text = (bytes: Uint8Array): string => new TextDecoder().decode(bytes);
function opened(xml: string): ReadPart {
  const read = readPart('part.musicxml', utf8(xml));
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  return read.value;
}
const errorsOf = (part: Parameters<typeof checkPart>[0]) =>
  checkPart(part).problems.filter((p) => p.severity === 'error');
const mended = (read: ReadPart) =>
  mendPart(read, undefined, { handsGiven: read.handsGiven, printedAs: printedNotes(read) });
/** Lines of `a` that `b` has not, with their number. */
function linesBut(a: string, b: string): string[] {
  const left = b.split('\n');
  return a.split('\n').filter((line) => {
    const at = left.indexOf(line);
    if (at >= 0) left.splice(at, 1);
    return at < 0;
  });
}

const Q = 3360;
/** Five notes in the right hand on the first beat, then a plain bar. */
const FIVE: Note[] = [
  { at: 0, hand: 'R', names: 'C4 E4 G4 B4 C5' },
  { at: 0, hand: 'L', names: 'C3' },
  { at: 1, hand: 'R', names: 'F4' },
  { at: 2, hand: 'R', names: 'A4' },
];
const xmlOf = (p: PlannedPassage): string => writeMusicXml(p, { fingering: false });

describe('a repair taken singly, in the file', () => {
  const xml = xmlOf(planned(FIVE));
  const read = opened(xml);
  const { mendings } = mended(read);

  it('is one of several, and each leaves the error gone when read back', () => {
    expect(errorsOf(read).map((p) => p.code)).toContain('four-fingers');
    const repairs = mendings[0]?.repairs ?? [];
    expect(repairs.length).toBeGreaterThan(2);
    for (const { id } of repairs) {
      const back = opened(text(repairFile(utf8(xml), read, [id], { kind: 'musicxml' })));
      expect(errorsOf(back)).toEqual([]);
    }
  });

  it('prints the full line small where an easier one is played, and is still MusicXML', () => {
    const id = mendings[0]?.repairs.find((r) => r.steps.some((s) => s.kind === 'ossia'))?.id;
    if (id === undefined) throw new Error('no easier line was offered');
    const out = text(repairFile(utf8(xml), read, [id], { kind: 'musicxml' }));
    const small = out.match(/<note[^>]*>\s*<cue\/?>/g) ?? [];
    expect(small.length).toBeGreaterThan(0);
    expect(schemaErrors(out)).toBeNull();
    const back = opened(out);
    expect(back.passage.plucks.length).toBe(read.passage.plucks.length - small.length);
    expect(back.handsGiven).toBe(read.handsGiven);
    expect(errorsOf(back)).toEqual([]);
  });

  it('gives the second harp what was taken for it, as a part of its own', () => {
    const repair = mendings[0]?.repairs.find((r) => r.steps.some((s) => s.kind === 'second-harp'));
    if (repair === undefined) throw new Error('no second harp was offered');
    const second = secondHarp(read, mendings, [repair.id]);
    const first = opened(text(repairFile(utf8(xml), read, [repair.id], { kind: 'musicxml' })));
    if (second === null) throw new Error('a part was wanted');
    const names = [first, opened(text(second))].flatMap((part) =>
      part.passage.plucks.map((p) => `${p.onset} ${pitchName(p.pitch)}`),
    );
    expect(names.sort()).toEqual(read.passage.plucks.map((p) => `${p.onset} ${pitchName(p.pitch)}`).sort());
    expect(secondHarp(read, mendings, [])).toBeNull();
  });
});

describe('what is not concerned', () => {
  it('stays: cues, rehearsal marks, dynamics, words, layout', () => {
    const own =
      '<print new-system="yes"/><direction><direction-type><rehearsal>B</rehearsal></direction-type></direction>' +
      '<direction><direction-type><dynamics><fp/></dynamics></direction-type></direction>' +
      '<direction><direction-type><words>con espressione</words></direction-type></direction>' +
      '<note><cue/><pitch><step>D</step><octave>5</octave></pitch><duration>1</duration><voice>3</voice><staff>1</staff></note>' +
      '<backup><duration>1</duration></backup>';
    const xml = xmlOf(planned(FIVE)).replace('</attributes>', `</attributes>${own}`);
    expect(xml).toContain(own);
    const { bytes, remaining } = mendFile(utf8(xml), opened(xml), { kind: 'musicxml' });
    expect(remaining).toEqual([]);
    expect(text(bytes)).toContain(own);
    expect(text(bytes)).not.toBe(xml);
  });
});

describe('pedal words', () => {
  // F sharp, then B flat, then C sharp: each in a bar of its own, with a word each.
  const bars = ['C4', 'F#4', 'Bb4', 'C#5'].map((names, i): Note => ({ names, at: i * 4, hand: 'R' }));
  const plain = planned(bars);
  const move = (bar: number, letter: 'F' | 'B' | 'C', to: -1 | 0 | 1, foot: 'left' | 'right') => ({
    ...{ onset: ticks(bar * 4 * Q - Q), letter, to, foot, from: 0 as const },
  });
  const moves = [move(1, 'F', 1, 'right'), move(2, 'B', -1, 'left'), move(3, 'C', 1, 'left')];

  it('change only where one is wrong', () => {
    const good = { ...plain, moves };
    expect(errorsOf(opened(xmlOf(good)))).toEqual([]);
    // The B flat comes when its note has been plucked.
    const late = { ...good, moves: moves.map((m) => (m.letter === 'B' ? { ...m, onset: ticks(9 * Q) } : m)) };
    const xml = xmlOf(late);
    expect(errorsOf(opened(xml)).length).toBeGreaterThan(0);
    const { bytes, remaining } = mendFile(utf8(xml), opened(xml), { kind: 'musicxml' });
    expect(remaining).toEqual([]);
    const changed = [...linesBut(text(bytes), xml), ...linesBut(xml, text(bytes))].join('\n');
    expect(changed).not.toMatch(/F♯|C♯|harp-pedals|<note/);
    const back = checkPart(opened(text(bytes))).planned;
    expect(settingAt(back, ticks(8 * Q))).toBe(settingAt({ ...good }, ticks(8 * Q)));
  });
});

describe('a repeat', () => {
  it('is mended in the note that is printed once, for every pass', () => {
    const p = planned(FIVE);
    const { bars, plucks } = p.passage;
    const length = bars[0]?.length ?? 0;
    const passage = {
      ...p.passage,
      bars: [0, 1].map((i) => ({
        ...{ index: i, number: '1', start: ticks(i * length), length: ticks(length) },
        ...{ metre: { beats: 4, unit: 4 }, written: 0, pass: i + 1 },
      })),
      form: [{ number: '1', repeatStart: true, repeatEnd: 2 }],
      plucks: [0, 1].flatMap((i) =>
        plucks.map((x) => ({ ...x, id: `${x.id}.${i}`, onset: ticks(x.onset + i * length) })),
      ),
    };
    const xml = xmlOf({ ...p, passage });
    expect(xml.match(/<measure /g)).toHaveLength(1);
    const read = opened(xml);
    expect(read.passage.bars).toHaveLength(2);
    expect(errorsOf(read).length).toBeGreaterThan(1);
    const { bytes, remaining } = mendFile(utf8(xml), read, { kind: 'musicxml' });
    expect(remaining).toEqual([]);
    const out = text(bytes);
    expect(out.match(/<measure /g)).toHaveLength(1);
    expect(out).toContain('direction="backward"');
    expect(errorsOf(opened(out))).toEqual([]);
  });
});
