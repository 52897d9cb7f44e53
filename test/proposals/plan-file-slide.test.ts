// A pedal slide written into the user's own file: its line, its small note, its word; read back as the same slide, and
// nothing else of the file changed.
import { describe, expect, it } from 'vitest';
import { readPart, type ReadPart } from '../../src/interchange/read-part';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { defaultPlanOptions, planPassage } from '../../src/pedals/plan';
import { planFile } from '../../src/proposals/mend/plan-file';
import { parseNoteSlides, withNoteSlides } from '../../src/proposals/note-slide';
import { hasSchema, schemaErrors } from '../interchange/schema';

const utf8 = (text: string): Uint8Array => new TextEncoder().encode(text);
const opened = (xml: string): ReadPart => {
  const read = readPart('part.musicxml', utf8(xml));
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  return read.value;
};
const note = (step: string, octave: number, length: number, more = '', chord = ''): string =>
  `      <note>${chord}<pitch><step>${step}</step>${more.startsWith('<alter>') ? more : ''}<octave>${octave}</octave></pitch><duration>${length}</duration>${more.startsWith('<alter>') ? '' : more}<voice>1</voice><type>${length === 1 ? 'quarter' : 'half'}</type></note>`;
const score = (...lines: string[]): string =>
  [
    '<?xml version="1.0" encoding="UTF-8"?>',
    '<score-partwise version="4.0">',
    '  <part-list><score-part id="P1"><part-name>Harp</part-name></score-part></part-list>',
    '  <part id="P1">',
    '    <measure number="1">',
    '      <attributes><divisions>1</divisions><key><fifths>0</fifths></key><time><beats>4</beats><beat-type>4</beat-type></time></attributes>',
    ...lines,
    '    </measure>',
    '  </part>',
    '</score-partwise>',
  ].join('\n');

const withPlan = (xml: string, ...asked: string[]): string => {
  const read = opened(xml);
  const parsed = parseNoteSlides(asked.join('; '));
  if (!parsed.ok) throw new Error(parsed.problems.join());
  const slid = withNoteSlides(read.passage, parsed.value);
  if (!slid.ok) throw new Error('no such note');
  const answer = planPassage(slid.value, defaultPlanOptions);
  if (answer.status === 'unplayable') throw new Error('unplayable');
  return new TextDecoder().decode(planFile(utf8(xml), read, answer.planned, { kind: 'musicxml' }));
};
const slidesIn = (xml: string) => {
  const { passage } = opened(xml);
  return (passage.slides ?? []).map(({ pluck, onset, to }) => {
    const from = passage.plucks.find((p) => p.id === pluck);
    return { from: from?.pitch, at: from?.onset, to, onset };
  });
};

describe('a slide in the file that the part came from', () => {
  const plain = score(note('E', 4, 2), note('G', 4, 1), note('A', 4, 1));
  it('has its line and its small note, and is read back as it was asked', () => {
    const made = withPlan(plain, '1:1 E4 to Eb at 1:2');
    expect(slidesIn(made)).toEqual([
      {
        from: { letter: 'E', alter: 0, octave: 4 },
        at: 0,
        to: { letter: 'E', alter: -1, octave: 4 },
        onset: 3360,
      },
    ]);
    expect(made.match(/<slide /g)).toHaveLength(2);
    expect(made).toMatch(/<accidental>flat<\/accidental>/);
    // The file's own lines are all there, the sliding note's with its line in it.
    for (const line of plain.split('\n').filter((l) => !l.includes('<step>E</step>')))
      expect(made).toContain(line);
  });
  it('is not written twice where the file has it already', () => {
    const made = withPlan(plain, '1:1 E4 to Eb at 1:2');
    const read = opened(made);
    const answer = planPassage(read.passage, defaultPlanOptions);
    if (answer.status === 'unplayable') throw new Error('unplayable');
    const again = new TextDecoder().decode(planFile(utf8(made), read, answer.planned, { kind: 'musicxml' }));
    expect(again.match(/<slide /g)).toHaveLength(2);
    expect(slidesIn(again)).toEqual(slidesIn(made));
  });
  it('ends after a chord and after what is tied, two slides in one chord apart', () => {
    const tied = score(
      note('C', 4, 2, '<tie type="start"/>'),
      note('E', 4, 2, '<tie type="start"/>', '<chord/>'),
      note('C', 4, 1, '<tie type="stop"/>'),
      note('E', 4, 1, '<tie type="stop"/>', '<chord/>'),
      note('A', 4, 1),
    );
    const made = withPlan(tied, '1:1 E4 to Eb at 1:3', '1:1 C4 to C# at 1:3');
    expect(slidesIn(made).map(({ to, onset }) => [to.letter, to.alter, onset])).toEqual([
      ['C', 1, 6720],
      ['E', -1, 6720],
    ]);
  });
  it('is printed once where a repeat plays its note twice', () => {
    const repeated = score(
      '<barline location="left"><repeat direction="forward"/></barline>',
      note('E', 4, 2),
      note('G', 4, 1),
      note('A', 4, 1),
      '<barline location="right"><repeat direction="backward"/></barline>',
    );
    const made = withPlan(repeated, '1:1 E4 to Eb at 1:2');
    expect(made.match(/<slide /g)).toHaveLength(2);
    expect(slidesIn(made).map((s) => s.onset)).toEqual([3360, 3360 + 13_440]);
  });
  it.skipIf(!hasSchema)('is valid', () => {
    expect(schemaErrors(withPlan(plain, '1:1 E4 to Eb at 1:2'))).toBeNull();
  });
  it('is what our own files have', () => {
    const read = opened(withPlan(plain, '1:1 E4 to Eb at 1:2'));
    const answer = planPassage(read.passage, defaultPlanOptions);
    if (answer.status === 'unplayable') throw new Error('unplayable');
    expect(slidesIn(writeMusicXml(answer.planned))).toEqual(slidesIn(withPlan(plain, '1:1 E4 to Eb at 1:2')));
  });
});
