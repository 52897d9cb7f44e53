// Repeats: unfolded to be planned, folded to be printed, and unfolded again the same.
import { describe, expect, it } from 'vitest';
import { ticks } from '../../src/base/units';
import { foldRepeats } from '../../src/interchange/fold-repeats';
import { readMusicXml } from '../../src/interchange/musicxml-read';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import type { Move } from '../../src/harp/planned';
import type { Passage } from '../../src/music/passage';
import { pitchName } from '../../src/music/pitch';
import { onConcertHarp } from './passages';
import { schemaErrors } from './schema';

const FORMS: Readonly<Record<string, readonly string[]>> = {
  // What stands before and after the note of each bar; the bars are played in the order of the last entry.
  'one repeat': ['|:', '', ':|', '', '0 1 2 0 1 2 3'],
  'from the beginning': ['', ':|', '', '0 1 0 1 2'],
  'three times': ['|:', ':|3', '', '0 1 0 1 0 1 2'],
  'two endings': ['|:', '1[ :|', '2[', '', '0 1 0 2 3'],
  'two repeats': ['|:', ':|', '|: :|', '0 1 0 1 2 2'],
  'da capo al fine': ['', 'fine', '', 'dacapo', '0 1 2 3 0 1'],
  'dal segno al coda': ['', 'segno', 'tocoda', 'dalsegno', 'coda', '0 1 2 3 1 2 4'],
};

const STEPS = 'CDEFGAB';
function score(signs: readonly string[]): string {
  const bars = signs.map((sign, i) => {
    const ending = /(\d)\[/.exec(sign)?.[1];
    const times = /:\|(\d)/.exec(sign)?.[1];
    const left =
      (ending === undefined ? '' : `<ending number="${ending}" type="start"/>`) +
      (sign.includes('|:') ? '<repeat direction="forward"/>' : '');
    const right =
      (ending === undefined
        ? ''
        : `<ending number="${ending}" type="${sign.includes(':|') ? 'stop' : 'discontinue'}"/>`) +
      (sign.includes(':|')
        ? `<repeat direction="backward"${times === undefined ? '' : ` times="${times}"`}/>`
        : '');
    const type = (inner: string, sound: string) =>
      `<direction><direction-type>${inner}</direction-type><sound ${sound}/></direction>`;
    const before =
      sign === 'segno' ? type('<segno/>', 'segno="s"') : sign === 'coda' ? type('<coda/>', 'coda="c"') : '';
    const after =
      sign === 'fine'
        ? type('<words>Fine</words>', 'fine="yes"')
        : sign === 'tocoda'
          ? type('<words>To Coda</words>', 'tocoda="c"')
          : sign === 'dacapo'
            ? type('<words>D.C. al Fine</words>', 'dacapo="yes"')
            : sign === 'dalsegno'
              ? type('<words>D.S. al Coda</words>', 'dalsegno="s"')
              : '';
    const start =
      i === 0
        ? '<attributes><divisions>1</divisions><time><beats>2</beats><beat-type>4</beat-type></time></attributes>'
        : '';
    const note = `<note><pitch><step>${STEPS[i % 7]}</step><octave>4</octave></pitch><duration>2</duration><voice>1</voice><type>half</type></note>`;
    const line = (where: string, inner: string) =>
      inner === '' ? '' : `<barline location="${where}">${inner}</barline>`;
    return `<measure number="${i + 1}">${start}${line('left', left)}${before}${note}${after}${line('right', right)}</measure>`;
  });
  return `<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Harp</part-name></score-part></part-list><part id="P1">${bars.join('')}</part></score-partwise>`;
}
const read = (xml: string): Passage => {
  const back = readMusicXml(xml);
  if (!back.ok) throw new Error(JSON.stringify(back.problems));
  expect(back.value.unread).toEqual([]);
  return back.value.passage;
};
const notes = (passage: Passage) =>
  passage.plucks.map((p) => [p.id, p.onset, p.duration, pitchName(p.pitch)].join(' ')).sort();
const bars = (passage: Passage) => passage.bars.map((b) => [b.number, b.start, b.written, b.pass].join(' '));

describe('repeats', () => {
  it.each(Object.entries(FORMS))('%s: printed once, read back as played', (_, entry) => {
    const signs = entry.slice(0, -1);
    const passage = read(score(signs));
    expect(passage.bars.map((b) => b.written).join(' ')).toBe(entry.at(-1));
    const planned = onConcertHarp(passage);
    const folded = foldRepeats(planned);
    expect(folded.planned.passage.bars.map((b) => b.number)).toEqual(signs.map((_sign, i) => String(i + 1)));
    expect(folded.planned.passage.plucks).toHaveLength(signs.length);
    const xml = writeMusicXml(planned);
    expect(schemaErrors(xml)).toBeNull();
    const back = read(xml);
    expect(bars(back)).toEqual(bars(passage));
    expect(notes(back)).toEqual(notes(passage));
    expect(back.form?.map(({ number: _n, ...sign }) => sign)).toEqual(
      passage.form?.map(({ number: _n, ...sign }) => sign),
    );
  });

  it('writes passes out that differ in a note or a pedal, and folds the others', () => {
    const passage = read(score(['|:', ':|', '|:', ':|']));
    const other = {
      ...passage,
      plucks: passage.plucks.map((p, i) => (i === 1 ? { ...p, pitch: { ...p.pitch, octave: 5 } } : p)),
    };
    const folded = foldRepeats(onConcertHarp(other)).planned.passage;
    expect(folded.bars.map((b) => b.number)).toEqual(['1', '2', '1', '2', '3', '4']);
    const second = read(writeMusicXml(onConcertHarp(other)));
    expect(second.plucks.map((p) => pitchName(p.pitch))).toEqual(other.plucks.map((p) => pitchName(p.pitch)));
    const onset = (bar: number) => ticks((passage.bars[bar]?.start ?? 0) + 3360);
    const move = (bar: number, from: -1 | 0 | 1, to: -1 | 0 | 1): Move => ({
      onset: onset(bar),
      letter: 'A',
      from,
      to,
      foot: 'right',
    });
    // There and back in each pass of the second repeat: the moves come back too.
    const moves = [move(4, 0, 1), move(5, 1, 0), move(6, 0, 1), move(7, 1, 0)];
    const both = foldRepeats(onConcertHarp(passage, undefined, moves)).planned;
    expect(both.passage.bars).toHaveLength(4);
    expect(both.moves.map((m) => m.to)).toEqual([1, 0]);
    // A pedal that stays where it was put meets the second pass in another place.
    const stays = foldRepeats(onConcertHarp(passage, undefined, [move(4, 0, 1)])).planned;
    expect(stays.passage.bars.map((b) => b.number)).toEqual(['1', '2', '3', '4', '3', '4']);
    expect(stays.moves).toHaveLength(1);
  });
});
