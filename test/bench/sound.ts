/** How fast strings are computed and mixed, and in a browser: beside Tone, and how soon the first note is heard. */

import { createHash } from 'node:crypto';
import { micros, ticks } from '../../src/base/units';
import { seededRandom } from '../../src/base/random';
import { TOP_STRING, stringPitch } from '../../src/harp/strings';
import { midiOf } from '../../src/music/pitch';
import { NATURAL_SETTING } from '../../src/harp/setting';
import { HOUSE, createVoiceBank, mix } from '../../src/sound/mix';
import type { PlayedNote } from '../../src/sound/note';
import { renderWav } from '../../src/sound/render-wav';
import { renderString } from '../../src/sound/render-string';
import { inChromium } from './_browser';
import type { file, firstNote, passage as browserPassage, pitch, playThrough } from './_sound-page';

const RATE = 48_000;

/** Seconds of CPU that a piece of work takes, the best of several. */
function cpu(times: number, work: () => void): number {
  let best = Infinity;
  for (let i = 0; i < times; i++) {
    const before = process.cpuUsage();
    work();
    const used = process.cpuUsage(before);
    best = Math.min(best, (used.user + used.system) / 1e6);
  }
  return best;
}

/** A seeded passage: notes a second, everything ringing. */
function passage(seconds: number, rate: number): PlayedNote[] {
  const random = seededRandom('bench');
  return Array.from({ length: seconds * rate }, (_, i) => {
    const string = random.below(TOP_STRING + 1);
    return {
      id: `n${i}`,
      from: `n${i}`,
      kind: 'pluck',
      string,
      midi: midiOf(stringPitch(string, 0)),
      onset: micros(Math.round((i * 1e6) / rate)),
      tick: ticks(0),
      duration: ticks(1),
      end: micros(0),
      hand: i % 2 === 0 ? 'L' : 'R',
      technique: 'ordinary',
      dynamic: 'mf',
      velocity: 75,
      release: null,
      releasedBy: null,
    };
  });
}

export async function bench(): Promise<{ name: string; value: number; unit: string }[]> {
  let audio = 0;
  const harp = (): void => {
    audio = 0;
    for (let string = 0; string <= TOP_STRING; string++) {
      audio +=
        renderString({ string, position: 0, technique: 'ordinary', layer: 'medium', sampleRate: RATE })
          .length / RATE;
    }
  };
  const cold = cpu(1, harp);
  const warm = cpu(5, harp);
  const notes = passage(30, 16);
  const bank = createVoiceBank();
  const first = cpu(1, () => void mix(notes, { bank }));
  const again = cpu(3, () => void mix(notes, { bank }));
  const whole = notes.map((note) => ({ ...note, setting: NATURAL_SETTING }));
  mix(whole, { ...HOUSE(), bank });
  const house = cpu(3, () => void mix(whole, { ...HOUSE(), bank }));
  return [
    { name: 'strings: audio per CPU second, warm', value: audio / warm, unit: 's/s' },
    { name: 'strings: the whole harp, one technique and layer, cold', value: 1000 * cold, unit: 'ms' },
    { name: 'strings: the whole harp, one technique and layer, warm', value: 1000 * warm, unit: 'ms' },
    { name: 'mix: 30 s at 16 notes/s, strings rendered too', value: 1000 * first, unit: 'ms' },
    { name: 'mix: 30 s at 16 notes/s, strings at hand', value: 1000 * again, unit: 'ms' },
    { name: 'mix: the same with open strings, room, unevenness', value: 1000 * house, unit: 'ms' },
    ...(await browser(notes)),
  ];
}

interface Bench {
  readonly passage: typeof browserPassage;
  readonly pitch: typeof pitch;
  readonly firstNote: typeof firstNote;
  readonly file: typeof file;
  readonly playThrough: typeof playThrough;
}
declare const soundBench: Bench;

async function browser(notes: PlayedNote[]): Promise<{ name: string; value: number; unit: string }[]> {
  const found = await inChromium('_sound-page.ts', async (page) => {
    const few = notes.slice(0, 40);
    const cold = await page.evaluate((n) => soundBench.firstNote(n), few);
    await page.reload();
    const warm = await page.evaluate((n) => soundBench.firstNote(n), few);
    const mixed = await page.evaluate((n) => soundBench.passage(n, 30), notes);
    const cents = await page.evaluate(() => soundBench.pitch());
    const whole = notes.map((note) => ({ ...note, setting: NATURAL_SETTING }));
    const live = whole.slice(0, 96);
    const heard = await page.evaluate((n) => soundBench.playThrough(n), live);
    const lost = live.length - Math.min(heard.started, heard.told);
    const written = await page.evaluate((n) => soundBench.file(n), whole);
    const ours = createHash('sha256').update(renderWav(whole).bytes).digest('hex');
    return { cold, warm, mixed, cents, written, heard, lost, same: written.hash === ours };
  });
  if (found === null) {
    console.log('  No Chromium was found (CHROMIUM_PATH names one): what needs a browser is skipped.');
    return [];
  }
  const { cold, warm, mixed, cents, written, heard, lost, same } = found;
  return [
    { name: 'page: first visit, strings of 40 notes ready', value: cold.ready, unit: 'ms' },
    { name: 'page: second visit, the same from the cache', value: warm.ready, unit: 'ms' },
    { name: 'page: from the press to the first sound', value: warm.first, unit: 'ms' },
    { name: 'page: notes lost of 96 at 16 notes/s, all ringing', value: lost, unit: 'notes' },
    { name: 'page: a note is told of after it sounds, at most', value: heard.lag, unit: 'ms' },
    { name: 'page: the highest level on the way, of 1', value: heard.top, unit: '' },
    { name: 'browser: 30 s at 16 notes/s, Tone offline', value: 1000 * mixed.tone, unit: 'ms' },
    { name: 'browser: the same, our mix', value: 1000 * mixed.ours, unit: 'ms' },
    { name: 'browser: times faster than Tone', value: mixed.tone / mixed.ours, unit: '×' },
    { name: 'browser: the same as a sound file, in a worker', value: 1000 * written.seconds, unit: 'ms' },
    { name: 'browser: that file has the bytes of the terminal’s (1: yes)', value: Number(same), unit: '' },
    { name: 'pitch: largest error over 47 strings, Tone’s pluck voice', value: cents.tone, unit: 'cents' },
    {
      name: 'pitch: strings that Tone’s pluck voice leaves silent',
      value: cents.toneSilent,
      unit: 'strings',
    },
    { name: 'pitch: largest error over 47 strings, ours', value: cents.ours, unit: 'cents' },
  ];
}
