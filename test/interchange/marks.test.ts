// Marks that a passage keeps: keys, hairpins, rehearsal marks, words, slides, jumps, transposition, harmonics.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ticks } from '../../src/base/units';
import type { Move } from '../../src/harp/planned';
import { readMusicXml, type ReadOptions } from '../../src/interchange/musicxml-read';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import type { Hand, Passage, Pluck } from '../../src/music/passage';
import { type Letter, pitchName } from '../../src/music/pitch';
import { Q, emptyPassage, onConcertHarp, plannedPassages } from './passages';

const score = (measures: string): string =>
  `<?xml version="1.0"?><score-partwise version="4.0"><identification><creator type="composer">A. Nobody</creator></identification><part-list><score-part id="P1"><part-name>Harp</part-name></score-part></part-list><part id="P1">${measures}</part></score-partwise>`;
const attributes = (inner: string): string => `<attributes>${inner}</attributes>`;
const start = attributes(
  '<divisions>2</divisions><key><fifths>-1</fifths></key><time><beats>2</beats><beat-type>4</beat-type></time>',
);
const note = (step: string, octave: number, duration = 4, inner = '', alter = 0): string =>
  `<note><pitch><step>${step}</step><alter>${alter}</alter><octave>${octave}</octave></pitch><duration>${duration}</duration><voice>1</voice>${inner}</note>`;
const type = (inner: string, sound = ''): string =>
  `<direction><direction-type>${inner}</direction-type>${sound}</direction>`;
const bar = (number: number, ...inner: string[]): string =>
  `<measure number="${number}">${inner.join('')}</measure>`;
const read = (xml: string, options: ReadOptions = {}) => {
  const back = readMusicXml(xml, options);
  if (!back.ok) throw new Error(JSON.stringify(back.problems));
  return back.value;
};
const order = (xml: string): string =>
  read(xml)
    .passage.bars.map((b) => b.number)
    .join(' ');

describe('marks that are read', () => {
  it('lists every mark and word that nothing bears out, and none that takes effect', () => {
    const words = (text: string) => type(`<words>${text}</words>`);
    const inner = (marks: string) => `<notations>${marks}</notations>`;
    const xml = score(
      bar(
        1,
        start,
        words('m.d.'),
        words('gliss.'),
        words('bisbigl.'),
        type('<metronome><beat-unit>quarter</beat-unit><per-minute>fast</per-minute></metronome>'),
        type('<pedal type="sostenuto"/>'),
        type('<octave-shift type="down" size="8"/>'),
        note('C', 4, 4, inner('<articulations><staccato/><accent/><tenuto/></articulations>')),
      ) +
        bar(
          2,
          type('<pedal type="start"/>'),
          note('D', 4, 4, inner('<dynamics><sfz/></dynamics>')),
          type('<pedal type="stop"/>'),
        ) +
        bar(3, note('E', 4), type('<pedal type="start"/>')),
    );
    const { passage, unread } = read(xml);
    expect(unread.map((u) => `${u.bar} ${u.what} ${u.text}`.trim()).sort()).toEqual([
      '1 accent',
      '1 metronome fast',
      '1 pedal sostenuto',
      '1 tenuto',
      '1 words bisbigl.',
      '1 words gliss.',
      '1 words m.d.',
      '2 dynamics sfz',
      '3 pedal not lifted',
    ]);
    expect(passage.staccato).toHaveLength(1);
    expect(passage.sustain).toHaveLength(1);
    // Pitches stand in the file as they sound, whatever is printed an octave lower.
    expect(passage.plucks.map((p) => p.pitch.octave)).toEqual([4, 4, 4]);
  });

  it('keeps composer, keys, hairpins, rehearsal marks and words', () => {
    const xml = score(
      bar(1, start, type('<rehearsal>A</rehearsal>'), type('<wedge type="crescendo"/>'), note('C', 4)) +
        bar(
          2,
          attributes('<key><fifths>3</fifths></key>'),
          type('<wedge type="stop"/>'),
          type('<words>dolce</words>'),
          note('D', 4),
          attributes('<key><fifths>0</fifths></key>'),
        ) +
        bar(3, type('<wedge type="diminuendo"/>'), note('E', 4)),
    );
    const { passage, unread } = read(xml);
    expect(passage).toMatchObject({
      composer: 'A. Nobody',
      fifths: -1,
      keys: [
        { onset: 6720, fifths: 3 },
        { onset: 13440, fifths: 0 },
      ],
      hairpins: [{ from: 0, to: 6720, kind: 'crescendo' }],
      rehearsals: [{ onset: 0, text: 'A' }],
      words: [{ onset: 6720, text: 'dolce', staff: 1 }],
    });
    expect(unread).toEqual([{ what: 'wedge', text: 'without an end', bar: '3', count: 1 }]);
  });

  it('follows da capo al fine, dal segno al coda, and says where a sign is missing', () => {
    const c = note('C', 4);
    expect(
      order(
        score(
          bar(1, start, c) +
            bar(2, c, type('<words>Fine</words>')) +
            bar(3, c, type('<words>D.C. al Fine</words>')),
        ),
      ),
    ).toBe('1 2 3 1 2');
    const segno =
      bar(1, start, c) +
      bar(2, type('<segno/>'), c) +
      bar(3, c, type('<words>To Coda</words>', '<sound tocoda="c"/>')) +
      bar(4, c, type('<words>D.S. al Coda</words>', '<sound dalsegno="s"/>')) +
      bar(5, type('<coda/>'), c);
    expect(order(score(segno))).toBe('1 2 3 4 2 3 5');
    const repeats =
      bar(1, start, c, '<barline location="right"><repeat direction="backward"/></barline>') +
      bar(2, c, '<sound dacapo="yes"/>');
    expect(order(score(repeats))).toBe('1 1 2 1 2');
    const lost = read(score(bar(1, start, c) + bar(2, c, type('<words>D.S.</words>'))));
    expect(lost.passage.bars).toHaveLength(2);
    expect(lost.unread).toEqual([{ what: 'jump', text: 'to a segno that is not there', bar: '2', count: 1 }]);
    const { form, bars } = read(score(segno)).passage;
    expect(form?.map((w) => [w.segno, w.coda, w.jump, w.toCoda])).toEqual([
      [undefined, undefined, undefined, undefined],
      [true, undefined, undefined, undefined],
      [undefined, undefined, undefined, true],
      [undefined, undefined, 'dalsegno', undefined],
      [undefined, true, undefined, undefined],
    ]);
    expect(bars.map((b) => [b.written, b.pass])).toEqual([
      [0, 1],
      [1, 1],
      [2, 1],
      [3, 1],
      [1, 2],
      [2, 2],
      [4, 1],
    ]);
  });

  it('applies a transposition where it is asked to: pitch, spelling and key', () => {
    const xml = score(
      bar(
        1,
        start.replace(
          '</attributes>',
          '<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose></attributes>',
        ),
        note('C', 4, 2),
        note('F', 5, 2, '', 1),
      ),
    );
    expect(readMusicXml(xml).ok).toBe(false);
    const { passage } = read(xml, { transpose: 'apply' });
    expect(passage.plucks.map((p) => pitchName(p.pitch))).toEqual(['B♭3', 'E5']);
  });

  it('asks where harmonics are written, and lists them where nobody answers', () => {
    const harmonic = '<notations><technical><harmonic/></technical></notations>';
    const xml = score(bar(1, start, note('C', 5, 4, harmonic)));
    expect(pitchName(read(xml, { harmonics: 'sounding' }).passage.plucks[0]!.pitch)).toBe('C4');
    expect(read(xml, { harmonics: 'sounding' }).unread).toEqual([]);
    const open = read(xml);
    expect(pitchName(open.passage.plucks[0]!.pitch)).toBe('C5');
    expect(open.unread).toEqual([{ what: 'harmonic', text: 'read at its string', bar: '1', count: 1 }]);
  });
});

describe('round trip of the marks', () => {
  it('keeps keys, hairpins, rehearsal marks, words and composer', () => {
    fc.assert(
      fc.property(plannedPassages, fc.boolean(), (planned, grows) => {
        const { passage } = planned;
        const second = passage.bars[1];
        const end = passage.bars.reduce((sum, b) => sum + b.length, 0);
        const marks = {
          composer: 'A. Nobody & Sons',
          rehearsals: [{ onset: ticks(0), text: 'A' }],
          words: [{ onset: ticks(0), text: 'dolce', staff: 1 as const }],
          hairpins: [
            {
              from: ticks(0),
              to: ticks(Math.floor(end / 2)),
              kind: grows ? ('crescendo' as const) : ('diminuendo' as const),
            },
          ],
          keys: second === undefined ? [] : [{ onset: second.start, fifths: passage.fifths > 0 ? -3 : 4 }],
        };
        const back = read(writeMusicXml({ ...planned, passage: { ...passage, ...marks } }));
        const { composer, rehearsals, words, hairpins, keys } = back.passage;
        expect({ composer, rehearsals, words, hairpins, keys: keys ?? [] }).toEqual(marks);
        expect(back.passage.plucks).toHaveLength(passage.plucks.length);
        expect(back.unread).toEqual([]);
      }),
      { numRuns: 30, seed: 31 },
    );
  });

  it('keeps a pedal slide: its note, its goal, and the instant of its pedal', () => {
    const pluck = (id: string, onset: number, letter: Letter, hand: Hand): Pluck => ({
      ...{ id, onset: ticks(onset), duration: ticks(2 * Q), pitch: { letter, alter: 0, octave: 4 }, hand },
      ...{ finger: null, technique: 'ordinary', dynamic: 'mf' },
    });
    const passage: Passage = {
      ...emptyPassage({ beats: 4, unit: 4 }, 1),
      plucks: [pluck('a', 0, 'C', 'R'), pluck('b', 2 * Q, 'E', 'R')],
      slides: [{ id: 'bend', pluck: 'a', onset: ticks(Q), to: { letter: 'C', alter: 1, octave: 4 } }],
    };
    const move: Move = { onset: ticks(Q), letter: 'C', from: 0, to: 1, foot: 'left' };
    const back = read(writeMusicXml(onConcertHarp(passage, undefined, [move])));
    expect(back.passage.slides).toEqual(passage.slides);
    expect(back.passage.plucks.map((p) => p.id)).toEqual(['a', 'b']);
    expect(back.passage.sweeps).toEqual([]);
    expect(back.unread).toEqual([]);
  });
});

describe('a tempo', () => {
  const bare = { ...emptyPassage({ beats: 4, unit: 4 }, 2), tempo: [] };

  it('that nobody gave is heard, not printed, and nobody’s when it is read again', () => {
    const xml = writeMusicXml(onConcertHarp(bare));
    expect(xml).not.toContain('metronome');
    expect(xml).toContain('tempo="90"');
    const back = read(xml);
    expect(back.tempoGiven).toBe(false);
    expect(back.passage.tempo).toEqual([]);
    expect(writeMusicXml(onConcertHarp({ ...back.passage, title: bare.title }))).toBe(xml);
  });

  it('that is only heard is not printed; a mark and its sound are one', () => {
    const mark = (bpm: number, print = '') =>
      `<metronome${print}><beat-unit>quarter</beat-unit><per-minute>${bpm}</per-minute></metronome>`;
    const { tempo } = read(
      score(
        bar(1, start, '<sound tempo="80"/>', note('C', 4)) +
          bar(2, type('<words>più mosso</words>', '<sound tempo="96"/>'), note('C', 4)) +
          bar(3, type(mark(100), '<sound tempo="100.5"/>'), note('C', 4)) +
          bar(4, type(mark(60, ' print-object="no"'), '<sound tempo="60"/>'), note('C', 4)) +
          bar(5, '<sound tempo="72"/>', type(mark(72)), note('C', 4)),
      ),
    ).passage;
    expect(tempo.map((t) => [t.onset / (2 * Q), t.milliBpm, t.unseen ?? false])).toEqual([
      [0, 80_000, true],
      [1, 96_000, true],
      [2, 100_500, false],
      [3, 60_000, true],
      [4, 72_000, false],
    ]);
    const xml = writeMusicXml(onConcertHarp({ ...emptyPassage({ beats: 2, unit: 4 }, 5), tempo }));
    expect(xml.match(/<metronome>/g)).toHaveLength(2);
    expect(xml.match(/tempo="/g)).toHaveLength(5);
    expect(read(xml).passage.tempo).toEqual(tempo);
  });
});
