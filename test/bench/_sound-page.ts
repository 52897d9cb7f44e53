/** What the sound benchmark measures inside a browser: Tone beside ours, and the time to the first note. */

import * as Tone from 'tone';
import type { PlayedNote } from '../../src/harp/performance';
import { TOP_STRING, stringPitch } from '../../src/harp/strings';
import { midiOf } from '../../src/music/pitch';
import { createPlayer } from '../../src/playback/player';
import { createVoiceBank, mix } from '../../src/sound/mix';
import { soundFile } from '../../src/playback/sound-file';
import { renderString } from '../../src/sound/render-string';
import { amplitudeAt, centsBetween, equalTempered, peakNear, stretch } from '../sound/measure';

const RATE = 48_000;
const strings = Array.from({ length: TOP_STRING + 1 }, (_, s) => s);
const keyOf = (string: number): number => midiOf(stringPitch(string, 0));
const render = (string: number): Float32Array =>
  renderString({ string, position: 0, technique: 'ordinary', layer: 'medium', sampleRate: RATE });

async function timed(work: () => unknown): Promise<number> {
  const before = performance.now();
  await work();
  return (performance.now() - before) / 1000;
}

/** Seconds for the same passage from the same rendered strings: Tone's sampler offline, and our mix. */
export async function passage(
  notes: readonly PlayedNote[],
  seconds: number,
): Promise<{ tone: number; ours: number }> {
  const urls: Record<number, AudioBuffer> = {};
  for (const string of strings) {
    const samples = render(string);
    const buffer = new AudioBuffer({ length: samples.length, sampleRate: RATE });
    buffer.copyToChannel(samples as Float32Array<ArrayBuffer>, 0);
    urls[keyOf(string)] = buffer;
  }
  const tone = await timed(() =>
    Tone.Offline(
      () => {
        const sampler = new Tone.Sampler({ urls }).toDestination();
        for (const note of notes) {
          sampler.triggerAttack(Tone.Frequency(note.midi, 'midi').toFrequency(), note.onset / 1e6, 0.5);
        }
      },
      seconds + 6,
      2,
      RATE,
    ),
  );
  const bank = createVoiceBank();
  mix(notes, { bank });
  const ours = await timed(() => mix(notes, { bank }));
  return { tone, ours };
}

/** Cents by which a sound lies off equal temperament, sought within ±3 semitones; null where nothing is heard there. */
function centsOff(x: Float32Array, key: number): number | null {
  const target = equalTempered(key);
  const part = stretch(x, RATE, 0.02, Math.max(6 / target, 0.2));
  let best = target;
  let top = 0;
  for (let cents = -300; cents <= 300; cents += 5) {
    const f = target * 2 ** (cents / 1200);
    const level = amplitudeAt(part, f);
    if (level > top) [top, best] = [level, f];
  }
  return top < 1e-5 ? null : centsBetween(peakNear(part, best, 10), target);
}

/** Largest pitch error over the 47 open strings in cents, and how many of them cannot be heard. */
export async function pitch(): Promise<{ tone: number; toneSilent: number; ours: number }> {
  let tone = 0;
  let toneSilent = 0;
  let ours = 0;
  for (const string of strings) {
    const key = keyOf(string);
    const buffer = await Tone.Offline(
      async () => {
        const voice = new Tone.PluckSynth({ resonance: 0.98 }).toDestination();
        await new Promise((resolve) => setTimeout(resolve, 1));
        voice.triggerAttack(Tone.Frequency(key, 'midi').toFrequency(), 0);
      },
      0.6,
      1,
      RATE,
    );
    const off = centsOff(buffer.toArray(0) as Float32Array, key);
    if (off === null) toneSilent++;
    else tone = Math.max(tone, Math.abs(off));
    ours = Math.max(ours, Math.abs(centsOff(render(string), key) ?? Infinity));
  }
  return { tone, toneSilent, ours };
}

/** Milliseconds until every string of a passage is ready, and from the press to the first sound of the warm page. */
export async function firstNote(
  notes: readonly PlayedNote[],
): Promise<{ ready: number; first: number; played: number }> {
  const player = createPlayer();
  const before = performance.now();
  const all = new Promise<void>((resolve) => {
    player.on('progress', ({ ready, needed }) => {
      if (needed > 0 && ready === needed) resolve();
    });
  });
  player.load(notes, 4);
  await all;
  const ready = performance.now() - before;
  await new Promise((resolve) => setTimeout(resolve, 300));
  const press = performance.now();
  await player.play();
  while (player.level() < 1e-4 && performance.now() - press < 5000) {
    await new Promise((resolve) => setTimeout(resolve, 4));
  }
  const first = performance.now() - press;
  const played = player.notesStarted;
  player.dispose();
  return { ready, first, played };
}

/** SHA-256 of the sound file that the page's button would write, and the seconds it took. */
export async function file(notes: readonly PlayedNote[]): Promise<{ hash: string; seconds: number }> {
  let bytes = new Uint8Array();
  const seconds = await timed(async () => {
    bytes = new Uint8Array(await soundFile(notes));
  });
  const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', bytes));
  return { hash: [...digest].map((b) => b.toString(16).padStart(2, '0')).join(''), seconds };
}

/** Plays notes: how many were started and told of, the largest lag of the telling in milliseconds, the highest level. */
export async function playThrough(
  notes: readonly PlayedNote[],
): Promise<{ started: number; told: number; lag: number; top: number }> {
  const player = createPlayer();
  player.setUneven(false);
  let told = 0;
  let origin: number | null = null;
  let lag = 0;
  let top = 0;
  player.on('note', ({ seconds }) => {
    told++;
    const here = performance.now() - 1000 * seconds;
    origin = origin === null ? here : Math.min(origin, here);
    lag = Math.max(lag, here - origin);
  });
  player.on('progress', () => {
    top = Math.max(top, player.level());
  });
  player.setVolume(0);
  player.load(notes, 0);
  const end = new Promise<void>((resolve) => {
    player.on('end', () => {
      resolve();
    });
  });
  await player.play();
  await end;
  const started = player.notesStarted;
  player.dispose();
  return { started, told, lag, top };
}

Object.assign(globalThis, { soundBench: { passage, pitch, firstNote, file, playThrough } });
