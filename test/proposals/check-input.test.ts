// What people bring that is no plain harp part: silent, for percussion, only partly for the harp, very long.
import { describe, expect, it } from 'vitest';
import { ticks } from '../../src/base/units';
import { readPart } from '../../src/interchange/read-part';
import { makeBars } from '../../src/music/metre';
import { sentence } from '../../src/playability/sentences';
import { writeMidi } from '../../src/interchange/midi-write';
import { propose } from '../../src/proposals/propose';
import { checkInSteps, checkPart } from '../../src/proposals/check';
import { silentPart } from '../../src/proposals/check-silent';
import { line, planned } from '../playability/build';

const NONE = { settings: [], moves: [] };
const ATTRIBUTES =
  '<attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>';
const measure = (n: number, body: string): string =>
  `<measure number="${n}">${n === 1 ? ATTRIBUTES : ''}${body}</measure>`;
const pitched = (step: string, octave: number): string =>
  `<note><pitch><step>${step}</step><octave>${octave}</octave></pitch><duration>1</duration><voice>1</voice></note>`;
const drum =
  '<note><unpitched><display-step>C</display-step><display-octave>5</display-octave></unpitched><duration>1</duration><voice>1</voice></note>';
const words = (text: string): string =>
  `<direction><direction-type><words>${text}</words></direction-type></direction>`;
function read(name: string, bars: readonly string[]) {
  const xml =
    `<score-partwise version="4.0"><part-list><score-part id="P1"><part-name>${name}</part-name></score-part></part-list>` +
    `<part id="P1">${bars.map((body, i) => measure(i + 1, body)).join('')}</part></score-partwise>`;
  const answer = readPart('x.musicxml', new TextEncoder().encode(xml));
  if (!answer.ok) throw new Error(answer.problems[0]?.code);
  return answer.value;
}
const rest = '<note><rest/><duration>4</duration></note>';
const four = (octave: number): string =>
  'CDEF'
    .split('')
    .map((s) => pitched(s, octave))
    .join('');

describe('a part without notes', () => {
  const say = (name: string, bars: readonly string[]): string | null => {
    const silent = silentPart(read(name, bars));
    return silent === null ? null : sentence(silent, []);
  };
  it('is told apart from a percussion part', () => {
    expect(say('Harp', [rest, rest])).toBe('The part “Harp” has no notes: choose a part that plays.');
    expect(say('Drum', [drum.repeat(4), drum.repeat(4)])).toBe(
      'The part “Drum” is for percussion: none of its 8 notes has a pitch; choose a part that plays pitches.',
    );
    expect(say('Harp', [four(4)])).toBeNull();
  });
  it('may be a drum track of a MIDI file', () => {
    // One stroke of channel 10, in format 0 with 480 ticks to the quarter.
    const head = [0x4d, 0x54, 0x68, 0x64, 0, 0, 0, 6, 0, 0, 0, 1, 0x01, 0xe0];
    const strokes = [0, 0x99, 38, 90, 0x83, 0x60, 0x89, 38, 0, 0, 0xff, 0x2f, 0];
    const track = [0x4d, 0x54, 0x72, 0x6b, 0, 0, 0, strokes.length, ...strokes];
    const drums = readPart('drums.mid', Uint8Array.from([...head, ...track]));
    if (!drums.ok) throw new Error(drums.problems[0]?.code);
    expect(sentence(silentPart(drums.value) as never, [])).toBe(
      'The part is for percussion: none of its 1 notes has a pitch; choose a part that plays pitches.',
    );
  });
  it('is checked without complaint', () => {
    expect(checkPart(read('Harp', [rest]))).toMatchObject({ problems: [], onsets: 0, tempoAssumed: false });
    expect(checkPart({ passage: { ...planned([]).passage, bars: [] }, markings: NONE }).problems).toEqual([]);
  });
});

describe('a part that is only partly for the harp', () => {
  // F8 lies beyond the harp: an error, were it the harp's.
  const bars = [words('Celesta') + four(8), words('to Harp') + rest, words('Harp') + four(4), four(5)];
  it('has the bars of the other instrument named and left out, and all of it kept', () => {
    const part = read('Celesta / Harp', bars);
    const report = checkPart(part);
    expect(report.problems.map((p) => sentence(p, part.passage.bars))).toEqual([
      'Bar 1 is for Celesta, not for the harp: left out of the check (4 notes).',
    ]);
    expect(report.onsets).toBe(8);
    expect(report.planned.passage.plucks).toHaveLength(12);
  });
  it('may say so in its words alone', () => {
    const part = read('Harp', [four(4), words('to Celesta') + rest, four(8), words('Harp') + four(4)]);
    expect(checkPart(part).problems.map((p) => sentence(p, part.passage.bars))).toEqual([
      'Bar 3 is for Celesta, not for the harp: left out of the check (4 notes).',
    ]);
  });
  it('is not taken for one by a cue or a dynamic', () => {
    const part = read('Harp', [words('Celesta') + four(4), words('piano') + four(4)]);
    const report = checkPart(part);
    expect([report.onsets, report.problems]).toEqual([8, []]);
  });
});

describe('a long part', () => {
  const bars = 2000;
  const { passage } = planned(line('C3 E3 G3 C4 E4 G4 C5 E5', 0.5, null), { bpm: 80 });
  const plucks = Array.from({ length: bars }, (_, k) =>
    passage.plucks.map((p) => ({ ...p, id: `${k}.${p.id}`, onset: ticks(p.onset + k * 4 * 3360) })),
  ).flat();
  const part = {
    passage: { ...passage, bars: makeBars({ beats: 4, unit: 4 }, bars), plucks },
    markings: NONE,
  };
  it('tells its progress in small steps, from 0 towards 1, and may be left at any of them', () => {
    const shares = [...checkInSteps(part)];
    expect(shares[0]).toBe(0);
    expect(shares.every((x, i) => i === 0 || x >= (shares[i - 1] as number))).toBe(true);
    expect(Math.max(...shares)).toBeLessThan(1);
    // Hands are searched: a step for every thousand onsets, then one for each rule.
    expect(shares.length).toBeGreaterThan(36);
    const steps = checkInSteps(part);
    steps.next();
    expect(steps.return(checkPart({ passage, markings: NONE })).done).toBe(true);
  });
});

describe('what is proposed, written as MIDI, which has no spelling', () => {
  it('is spelt by its pedals when it is read: no note finds its pedal elsewhere', () => {
    const { proposals } = propose({
      text: 'Ebmaj7 | Cm9 | A7b9 | Gbmaj7 B13 | Emaj7 | C#m7b5 F7',
      metre: { beats: 4, unit: 4 },
      milliBpm: 72_000,
      seed: 'midi',
      count: 10,
      families: [],
      start: null,
      aim: 'practical',
      key: null,
      title: '',
    });
    expect(proposals).toHaveLength(10);
    for (const { id, planned: plan } of proposals) {
      const back = readPart('x.mid', writeMidi(plan));
      if (!back.ok) throw new Error(id);
      const wrong = checkPart(back.value).problems.filter((p) => p.code === 'wrong-pedal');
      expect([id, wrong.map((p) => sentence(p, back.value.passage.bars))]).toEqual([id, []]);
    }
  });
});
