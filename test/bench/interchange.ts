// MusicXML and MIDI of 100 bars, out and in.
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
  ];
}
