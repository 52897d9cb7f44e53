/** A desk whose time the test moves, and which writes down what it is asked to play. */

import type { Desk, Run } from '../../src/playback/desk';
import type { StringRenderer } from '../../src/playback/renderer';
import { renderString } from '../../src/sound/render-string';

export interface Started {
  readonly samples: Float32Array;
  readonly at: number;
  readonly gain: number;
  readonly pan: number;
  readonly offset: number;
  stopped: { at: number; fade: number } | null;
  bent: { at: number; seconds: number; speed: number; level: number }[];
  readonly run: number;
}

export interface FakeDesk extends Desk<Float32Array> {
  readonly started: Started[];
  readonly closed: Set<number>;
  volume: number;
  room: boolean | null;
  /** Lets time pass in steps, ticking as the real desk does. */
  pass(seconds: number, step?: number): Promise<void>;
  /** While false, `resume` waits and time stands still. */
  allow(running: boolean): void;
  disposed: boolean;
}

export function createFakeDesk(): FakeDesk {
  let now = 10;
  let running = true;
  let waiting: (() => void)[] = [];
  let runs = 0;
  const ticks = new Set<() => void>();
  const desk: FakeDesk = {
    sampleRate: 8000,
    started: [],
    closed: new Set(),
    volume: NaN,
    room: null,
    disposed: false,
    time: () => now,
    resume: () => (running ? Promise.resolve() : new Promise((resolve) => waiting.push(resolve))),
    buffer: (samples) => samples,
    bytesOf: (buffer) => buffer.byteLength,
    open: (): Run<Float32Array> => {
      const run = ++runs;
      return {
        start: (samples, at, gain, pan, offset = 0) => {
          if (at < now) throw new Error(`started in the past: ${at} < ${now}`);
          const entry: Started = { samples, at, gain, pan, offset, stopped: null, bent: [], run };
          desk.started.push(entry);
          return {
            bend: (from, seconds, speed, level) => {
              entry.bent.push({ at: from, seconds, speed, level });
            },
            stop: (from, fade) => {
              entry.stopped ??= { at: from, fade };
            },
          };
        },
        close: () => desk.closed.add(run),
      };
    },
    setRoom: (on) => {
      desk.room = on;
    },
    setVolume: (db) => {
      desk.volume = db;
    },
    level: () => 0,
    every: (fn) => {
      ticks.add(fn);
      return () => ticks.delete(fn);
    },
    dispose: () => {
      desk.disposed = true;
    },
    pass: async (seconds, step = 0.05) => {
      for (let left = seconds; left > 1e-9; left -= step) {
        if (running) now += Math.min(step, left);
        for (const fn of [...ticks]) fn();
        await Promise.resolve();
      }
    },
    allow: (to) => {
      running = to;
      if (to) {
        for (const go of waiting) go();
        waiting = [];
      }
    },
  };
  return desk;
}

/** Renders at once, and counts. */
export function countingRenderer(): StringRenderer & { rendered: string[]; fail: boolean } {
  const renderer = {
    rendered: [] as string[],
    fail: false,
    render: (request: Parameters<StringRenderer['render']>[0]) => {
      renderer.rendered.push(`${request.string}/${request.position}/${request.technique}/${request.layer}`);
      return renderer.fail
        ? Promise.reject(new Error('worker lost'))
        : Promise.resolve(renderString({ ...request, maxSeconds: 0.3 }));
    },
    dispose: () => undefined,
  };
  return renderer;
}
