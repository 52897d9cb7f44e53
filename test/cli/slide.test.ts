// Pedal slides in the terminal: asked for by note, goal and place; a mistake is one sentence.
import { mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { pedalsCall } from '../../src/cli/pedals';
import { noteTicks } from '../../src/base/units';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { midiOf } from '../../src/music/pitch';
import { defaultPlanOptions, planPassage } from '../../src/pedals/plan';
import { patchMusicXmlText } from '../../src/interchange/musicxml-patch';
import { type ReadPart, readPart } from '../../src/interchange/read-part';
import { schemaErrors } from '../interchange/schema';
import { chords } from '../proposals/_quarters';

const file = join(mkdtempSync(join(tmpdir(), 'slide-')), 'part.musicxml');
const answer = planPassage(
  chords([[48, 64], [67], [72], [67], [48, 64], null, null, null]),
  defaultPlanOptions,
);
if (answer.status === 'unplayable') throw new Error('playable');
writeFileSync(file, writeMusicXml(answer.planned));

describe('pedals --slide', () => {
  it('moves the pedal when asked, priced as wanted', () => {
    const { json, problemsFound } = pedalsCall([file, '--slide', '1:1 E4 to Eb at 1:3']);
    const { moves, price } = json as unknown as {
      moves: { bar: string; beat: number; letter: string; to: number }[];
      price: { slides: number; terms: { ring: number } };
    };
    expect(moves.filter((m) => m.letter === 'E' && m.to === -1)).toMatchObject([{ bar: '1', beat: 3 }]);
    expect([price.slides, price.terms.ring, problemsFound]).toEqual([1, 0, false]);
  });

  it('is a line in the file that was brought, read back as the same slide, all else as it was', () => {
    const [plain, slid, again] = ['plain', 'slid', 'again'].map((n) => file.replace('part.', `${n}.`));
    if (plain === undefined || slid === undefined || again === undefined) throw new Error('three names');
    const asked = ['--slide', '1:1 E4 to Eb at 1:3'];
    pedalsCall([file, '--out', plain]);
    pedalsCall([file, ...asked, '--out', slid]);
    pedalsCall([slid, '--out', again]);
    const xml = (path: string): string => readFileSync(path, 'utf8');
    expect(schemaErrors(xml(slid))).toBeNull();
    const read = readPart('part.musicxml', readFileSync(slid));
    const before = readPart('part.musicxml', readFileSync(plain));
    if (!read.ok || !before.ok) throw new Error('refused');
    const struck = before.value.passage.plucks.find((p) => p.pitch.letter === 'E');
    expect(read.value.passage.slides).toMatchObject([
      { pluck: struck?.id, onset: noteTicks(1, 2), to: { letter: 'E', alter: -1, octave: 4 } },
    ]);
    const heard = (part: ReadPart) =>
      part.passage.plucks.map((p) => [p.id, p.onset, p.duration, midiOf(p.pitch), p.hand, p.staff]);
    expect(heard(read.value)).toEqual(heard(before.value));
    expect(xml(plain)).not.toContain('<slide');
    expect(xml(again).match(/<slide /g)).toHaveLength(2);
  });

  it('is two lines of the file and nothing else', () => {
    const text = readFileSync(file, 'utf8');
    const read = readPart('part.musicxml', readFileSync(file));
    if (!read.ok) throw new Error('refused');
    const notes = read.value.sources.get(
      read.value.passage.plucks.find((p) => p.pitch.letter === 'E')?.id ?? '',
    );
    const to = { letter: 'E', alter: -1, octave: 4 } as const;
    const out = patchMusicXmlText(text, [{ kind: 'slide', notes: notes ?? [], pitch: to, id: 's' }]);
    if (!out.ok) throw new Error('refused');
    expect(out.value.match(/<slide /g)).toHaveLength(2);
    const bare = out.value
      .replace(/\s*<note[^>]*>\s*<grace[\s\S]*?<\/note>/, '')
      .replace(/\s*<slide [^>]*>/, '')
      .replace(/\s*<notations>\s*<\/notations>/, '');
    expect(bare).toBe(text);
  });

  it.each([
    ['1:1 E4', '--slide: “1:1 E4” is no slide'],
    ['1:1 E4 to F at 1:3', 'another E'],
    ['1:1 E4 to Eb at 2:1', 'no longer rings'],
    ['1:2 E4 to Eb at 1:3', 'No note at bar 1, beat 2'],
  ])('answers “%s” with one sentence', (text, told) => {
    expect(() => pedalsCall([file, '--slide', text])).toThrow(told);
  });

  it('is refused for levers', () => {
    expect(() => pedalsCall([file, '--harp', 'lever34', '--slide', '1:1 E4 to Eb at 1:3'])).toThrow('pedals');
  });
});
