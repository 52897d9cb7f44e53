// A piano part with repeats: reduced, printed with its repeats, and read back as it was planned.
import { describe, expect, it } from 'vitest';
import { settingAt } from '../../src/harp/planned';
import { foldRepeats } from '../../src/interchange/fold-repeats';
import { readMusicXml } from '../../src/interchange/musicxml-read';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import type { Passage } from '../../src/music/passage';
import { midiOf } from '../../src/music/pitch';
import { judge } from '../../src/playability/judge';
import { reduce } from '../../src/proposals/reduce';
import { repeatsAlike } from '../../src/proposals/repeats';

interface Written {
  readonly left?: string;
  readonly right?: string;
  /** Quarters of each hand. */
  readonly hands: readonly [string, string];
}

const START = '<repeat direction="forward"/>';
const END = '<repeat direction="backward"/>';
const ending = (n: number, type: string): string => `<ending number="${n}" type="${type}"/>`;

const note = (name: string, voice: number): string => {
  const [, step, sign, octave] = /([A-G])([#b]?)(\d)/.exec(name) ?? [];
  const alter = sign === '' ? '' : `<alter>${sign === '#' ? 1 : -1}</alter>`;
  return `<note><pitch><step>${step}</step>${alter}<octave>${octave}</octave></pitch><duration>1</duration><voice>${voice}</voice><staff>${voice === 1 ? 1 : 2}</staff></note>`;
};
const piano = (bars: readonly Written[]): Passage => {
  const measures = bars.map(({ left, right, hands: [upper, lower] }, i) => {
    const line = (where: string, inner = '') =>
      inner === '' ? '' : `<barline location="${where}">${inner}</barline>`;
    const first =
      i === 0
        ? '<attributes><divisions>1</divisions><key><fifths>0</fifths></key><time><beats>4</beats><beat-type>4</beat-type></time><staves>2</staves></attributes>'
        : '';
    const voice = (names: string, n: number) =>
      names
        .split(' ')
        .map((name) => note(name, n))
        .join('');
    return `<measure number="${i + 1}">${first}${line('left', left)}${voice(upper, 1)}<backup><duration>4</duration></backup>${voice(lower, 5)}${line('right', right)}</measure>`;
  });
  const read = readMusicXml(
    `<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>Piano</part-name></score-part></part-list><part id="P1">${measures.join('')}</part></score-partwise>`,
  );
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  return read.value.passage;
};

const C: Written['hands'] = ['C5 E5 G5 E5', 'C3 G3 C3 G3'];
const A: Written['hands'] = ['A4 C#5 E5 C#5', 'A2 E3 A2 E3'];
const D: Written['hands'] = ['D5 F5 A5 F5', 'D3 A3 D3 A3'];
const G: Written['hands'] = ['G4 B4 D5 F5', 'G2 D3 G2 D3'];
const DOMINANT: Written['hands'] = ['F#4 A4 C5 D5', 'D3 A3 D3 A3'];

const PIECES: Readonly<Record<string, readonly Written[]>> = {
  'two endings': [
    { left: START, hands: C },
    { hands: A },
    { hands: D },
    { left: ending(1, 'start'), hands: G, right: ending(1, 'stop') + END },
    { left: ending(2, 'start'), hands: DOMINANT, right: ending(2, 'discontinue') },
    { hands: G },
  ],
  'two repeats': [
    { left: START, hands: C },
    { hands: A },
    { hands: D, right: END },
    { left: START, hands: DOMINANT },
    { hands: G, right: END },
    { hands: C },
  ],
  'from the beginning': [{ hands: C }, { hands: A }, { hands: D }, { hands: G, right: END }, { hands: C }],
};

const notes = (passage: Passage): string[] =>
  passage.plucks
    .map((p) => `${p.onset} ${p.duration} ${midiOf(p.pitch)} ${p.pitch.letter} ${p.hand} ${p.finger}`)
    .sort();

describe('a reduction with repeats', () => {
  it.each(Object.entries(PIECES))('%s: printed once, read back the same', (_, written) => {
    const passage = piano(written);
    expect(passage.bars.length).toBeGreaterThan(written.length);
    const made = reduce({ passage });
    if (made === null) throw new Error('stopped');
    const { planned } = made;
    expect(judge(planned).filter((p) => p.severity === 'error')).toEqual([]);
    // The C sharps need a pedal that comes back: in each pass.
    expect(planned.moves.length).toBeGreaterThan(2);
    const folded = foldRepeats(planned).planned;
    expect(folded.passage.bars.map((bar) => bar.number)).toEqual(written.map((_bar, i) => String(i + 1)));
    const xml = writeMusicXml(planned, { fingering: true });
    expect(xml.match(/direction="backward"/g)).toHaveLength(
      written.filter((bar) => bar.right?.includes(END) === true).length,
    );
    const back = readMusicXml(xml);
    if (!back.ok) throw new Error(JSON.stringify(back.problems));
    expect(back.value.passage.bars.map((bar) => `${bar.number} ${bar.start}`)).toEqual(
      planned.passage.bars.map((bar) => `${bar.number} ${bar.start}`),
    );
    expect(notes(back.value.passage)).toEqual(notes(planned.passage));
    const moved = (
      list: readonly { readonly onset: number; readonly letter: string; readonly to: number }[],
    ) => list.map((m) => `${m.onset} ${m.letter} ${m.to}`).sort();
    expect(moved(back.value.markings.moves)).toEqual(moved(planned.moves));
  });

  it('begins every pass with the setting of the first', () => {
    const made = reduce({ passage: piano(PIECES['two endings'] ?? []) });
    const planned = made?.planned;
    if (planned === undefined) throw new Error('stopped');
    const starts = planned.passage.bars.filter((bar) => bar.written === 0).map((bar) => bar.start);
    expect(starts).toHaveLength(2);
    const before = starts.map((start) =>
      start === 0 ? planned.start : settingAt(planned, (start - 1) as typeof start),
    );
    expect(new Set(before).size).toBe(1);
  });

  it('leaves passes alone that do not sound alike, and what has no repeat', () => {
    const passage = piano(PIECES['from the beginning'] ?? []);
    const planned = reduce({ passage })?.planned;
    if (planned === undefined) throw new Error('stopped');
    const [first, ...rest] = planned.passage.plucks;
    if (first === undefined) throw new Error('empty');
    const lower = { ...first, pitch: { ...first.pitch, octave: first.pitch.octave - 1 } };
    const other = { ...planned, passage: { ...planned.passage, plucks: [lower, ...rest] } };
    expect(repeatsAlike(other)).toBe(other);
    const { form: _form, ...plain } = planned.passage;
    const through = { ...planned, passage: plain };
    expect(repeatsAlike(through)).toBe(through);
  });
});
