/** The strings that playing needs as audio buffers: rendered ahead in order of use, kept under a memory limit. */

import { type VoiceId, voiceKey } from '../sound/note';
import { renderString } from '../sound/render-string';
import { type Bank, createBank } from '../sound/voice-bank';
import type { StringRenderer } from './renderer';

/** Bytes of samples kept. */
export const STORE_BYTES = 84_000_000;
/** Once this much is kept, only what is needed soon is rendered. */
export const IDLE_BYTES = 66_000_000;
/** One sample, what an empty sound is kept as: an audio buffer cannot be empty. */
const LEAST_BYTES = 4;
/** Strings asked of the worker at one time. */
const AT_ONCE = 2;

export interface StringStore<B> {
  /** Renders these in order as long as there is room, in place of what was asked for idly before. */
  wantIdly(voices: readonly VoiceId[]): void;
  /** Renders these next, in order, giving up the least recently used where there is no room. */
  wantSoon(voices: readonly VoiceId[]): void;
  /** The buffer, rendered here and now if need be: no note is dropped. */
  now(voice: VoiceId): B;
  /** The buffer if it has been rendered (and is not empty), else null. */
  peek(voice: VoiceId): B | null;
  secondsOf(buffer: B): number;
  has(voice: VoiceId): boolean;
  /** Resolves when all these are ready (or have failed to come: `now` then renders them). */
  ready(voices: readonly VoiceId[]): Promise<void>;
  readonly bytes: number;
}

export function createStringStore<B>(
  sampleRate: number,
  renderer: StringRenderer,
  toBuffer: (samples: Float32Array) => B,
  bytesOf: (buffer: B) => number,
  onReady: () => void,
): StringStore<B> {
  const bank: Bank<B> = createBank(STORE_BYTES, bytesOf);
  const running = new Map<string, Promise<void>>();
  let idle: VoiceId[] = [];
  let soon: VoiceId[] = [];
  const begin = (voice: VoiceId): Promise<void> => {
    const key = voiceKey(voice);
    const known = running.get(key);
    if (known !== undefined) return known;
    const work = renderer
      .render({ ...voice, sampleRate })
      .then((samples) => {
        if (!bank.has(key)) bank.set(key, toBuffer(samples.length === 0 ? new Float32Array(1) : samples));
      })
      .catch(() => undefined)
      .finally(() => {
        running.delete(key);
        onReady();
        pump();
      });
    running.set(key, work);
    return work;
  };
  const pump = (): void => {
    while (running.size < AT_ONCE) {
      const voice = soon.shift() ?? (bank.bytes < IDLE_BYTES ? idle.shift() : undefined);
      if (voice === undefined) return;
      if (!bank.has(voiceKey(voice))) void begin(voice);
    }
  };
  return {
    wantIdly: (voices) => {
      idle = [...voices];
      pump();
    },
    wantSoon: (voices) => {
      soon = [...voices];
      pump();
    },
    now: (voice) => {
      const key = voiceKey(voice);
      let buffer = bank.get(key);
      if (buffer === undefined) {
        buffer = toBuffer(renderString({ ...voice, sampleRate }));
        bank.set(key, buffer);
      }
      return buffer;
    },
    peek: (voice) => {
      const buffer = bank.get(voiceKey(voice)) ?? null;
      return buffer === null || bytesOf(buffer) <= LEAST_BYTES ? null : buffer;
    },
    secondsOf: (buffer) => bytesOf(buffer) / 4 / sampleRate,
    has: (voice) => bank.has(voiceKey(voice)),
    ready: async (voices) => {
      for (const voice of voices) if (!bank.has(voiceKey(voice))) await begin(voice);
    },
    get bytes() {
      return bank.bytes;
    },
  };
}
