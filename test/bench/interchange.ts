// MusicXML and MIDI of 100 bars, out and in; what files cost that are too large, broken or hostile.
import { zipSync } from 'fflate';
import { makeBars } from '../../src/music/metre';
import { noteTicks, ticks } from '../../src/base/units';
import { CONCERT_HARP } from '../../src/harp/instrument';
import type { PlannedPassage } from '../../src/harp/planned';
import { NATURAL_SETTING } from '../../src/harp/setting';
import { stringPitch } from '../../src/harp/strings';
import type { Pluck } from '../../src/music/passage';
import { writeMidi } from '../../src/interchange/midi-write';
import { readMidi } from '../../src/interchange/midi-read';
import { readMusicXml } from '../../src/interchange/musicxml-read';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import type { Measure } from './main';

/** 100 bars of sixteenths from hand to hand, with a chord on each half. */
function hundredBars(): PlannedPassage {
  const sixteenth = noteTicks(1, 16);
  const plucks: Pluck[] = [];
  const add = (id: string, at: number, length: number, string: number, hand: 'R' | 'L') =>
    plucks.push({
      id,
      onset: ticks(at),
      duration: ticks(length),
      pitch: stringPitch(string, 0),
      hand,
      finger: 1,
      technique: 'ordinary',
      dynamic: 'mf',
    });
  for (let i = 0; i < 1600; i++) {
    const hand = i % 8 < 4 ? 'L' : 'R';
    add(`n${i}`, i * sixteenth, sixteenth, 10 + 2 * (i % 8) + (i % 5), hand);
    if (i % 8 === 0) for (const k of [0, 4, 7]) add(`c${i}.${k}`, i * sixteenth, 8 * sixteenth, 30 + k, 'R');
  }
  return {
    passage: {
      title: '',
      bars: makeBars({ beats: 4, unit: 4 }, 100),
      tempo: [{ onset: ticks(0), milliBpm: 90_000 }],
      fifths: 0,
      plucks,
      rolls: [],
      sweeps: [],
      trembles: [],
      chords: [],
      damps: [],
    },
    instrument: CONCERT_HARP,
    start: NATURAL_SETTING,
    moves: [],
    tuning: {},
  };
}

function median(run: () => void): number {
  for (let i = 0; i < 3; i++) run();
  const times = Array.from({ length: 9 }, () => {
    const start = performance.now();
    run();
    return performance.now() - start;
  });
  return times.sort((a, b) => a - b)[4] as number;
}

/** A score of so many notes. */
function scoreOf(notes: number, perBar = 16): string {
  const note = (i: number): string =>
    `<note><pitch><step>${'CDEFGAB'[i % 7]}</step><octave>${3 + (i % 3)}</octave></pitch><duration>1</duration><voice>1</voice><type>16th</type></note>`;
  const bars = Array.from({ length: Math.ceil(notes / perBar) }, (_, bar) => {
    const inner = Array.from({ length: perBar }, (_note, i) => note(bar + i)).join('');
    const start = bar === 0 ? '<attributes><divisions>4</divisions></attributes>' : '';
    return `<measure number="${bar + 1}">${start}${inner}</measure>`;
  });
  return `<score-partwise><part-list><score-part id="P1"><part-name>Harp</part-name></score-part></part-list><part id="P1">${bars.join('')}</part></score-partwise>`;
}

const MEBIBYTE = 1024 * 1024;

/** Files that are refused, and the largest that are not; whether each is read is part of the name. */
function badInput(): Measure[] {
  const open = scoreOf(60_000, 12);
  const bytes = new TextEncoder().encode(open);
  const wrong = bytes.slice();
  wrong[wrong.length - 100] = 0xff;
  const zeros = new Uint8Array(5 * MEBIBYTE);
  const files: readonly (readonly [string, Uint8Array | string])[] = [
    ['5,000 bars, 60,000 notes', open],
    ['the same, truncated', open.slice(0, -3000)],
    ['the same, one wrong byte at the end', wrong],
    ['100,000 notes', scoreOf(100_000)],
    [
      'entity bomb',
      `<!DOCTYPE a [<!ENTITY x "xx">${'<!ENTITY y "&x;&x;">'.repeat(10_000)}]><score-partwise>&y;</score-partwise>`,
    ],
    ['a million elements deep', '<a>'.repeat(1_000_000)],
    ['19 MiB of references', `<a>${'&amp;'.repeat((19 * MEBIBYTE) / 5)}`],
    [
      '19 MiB of attributes',
      `<a${Array.from({ length: 1_400_000 }, (_, i) => ` a${i.toString(36)}="12"`).join('')}/>x`,
    ],
    [
      '19 MiB of elements with 40 attributes',
      `<a>${`<b${Array.from({ length: 40 }, (_, i) => ` a${i}="12"`).join('')}/>`.repeat(58_000)}</b>`,
    ],
    ['zip bomb, one entry of 300 MiB', zipSync({ 'a.xml': new Uint8Array(300 * MEBIBYTE) })],
    [
      'zip bomb, 60 entries of 5 MiB',
      zipSync(Object.fromEntries(Array.from({ length: 60 }, (_, i) => [`${i}.xml`, zeros]))),
    ],
  ];
  return files.map(([name, file]) => {
    const before = process.cpuUsage();
    const read = readMusicXml(file);
    const { user, system } = process.cpuUsage(before);
    const outcome = read.ok ? 'read' : (read.problems[0]?.code ?? 'refused');
    return { name: `${name}: ${outcome}`, value: (user + system) / 1000, unit: 'ms of processor' };
  });
}

export async function bench(): Promise<Measure[]> {
  const planned = hundredBars();
  const xml = writeMusicXml(planned);
  const midi = writeMidi(planned);
  return [
    { name: 'MusicXML out, 100 bars, 2,200 notes', value: median(() => writeMusicXml(planned)), unit: 'ms' },
    { name: 'MusicXML in, the same', value: median(() => readMusicXml(xml)), unit: 'ms' },
    { name: 'its size', value: xml.length / 1024, unit: 'KiB' },
    { name: 'MIDI out, the same', value: median(() => writeMidi(planned)), unit: 'ms' },
    { name: 'MIDI in, the same', value: median(() => readMidi(midi)), unit: 'ms' },
    ...badInput(),
  ];
}
