/** The page's side of the engraver: a worker that is started anew when it breaks down or falls silent. */

import { type Remote, wrap } from 'comlink';
import { type Result, ok } from '../base/result';
import type { PrintOptions, PrintedPart } from '../engraving/printable';
import type { PlannedPassage } from '../harp/planned';
import type { EngraveQuestion, EngravingApi, SentPage } from './engraving-worker';
import { type Ask, latestOnly } from './latest';

export interface ScoreQuestion extends Omit<EngraveQuestion, 'place' | 'early'> {
  /** Where it is given, a long part's first systems are handed to it while the others are still drawn. */
  readonly early?: (page: SentPage) => void;
}

export interface EngravingClient {
  /** A place for one score: of what is asked there, only the newest is answered. */
  place(): Ask<ScoreQuestion, Result<SentPage>>;
  /** Pages for paper. Rejects where the engraver breaks down. */
  print(planned: PlannedPassage, options: PrintOptions): Promise<Result<PrintedPart>>;
  /** Loads the engraver ahead of need. */
  warm(): void;
}

/** A page of music takes a second or two; an engraver that says nothing for so long will not answer. */
const ENGRAVING_MS = 45_000;

/** An engraver in a worker; one that breaks down or falls silent is ended, and the next page gets a fresh one. */
export function engravingClient(): EngravingClient {
  let current: { readonly worker: Worker; readonly api: Remote<EngravingApi> } | null = null;
  let places = 0;
  const start = (): NonNullable<typeof current> => {
    if (current !== null) return current;
    const worker = new Worker(new URL('./engraving-worker.ts', import.meta.url), { type: 'module' });
    current = { worker, api: wrap<EngravingApi>(worker) };
    return current;
  };
  return {
    place: () => {
      const place = places++;
      return latestOnly(async ({ early, ...question }: ScoreQuestion, isNewest) => {
        const mine = start();
        let timer: ReturnType<typeof setTimeout> | undefined;
        const broken = new Promise<never>((_, reject) => {
          const end = (why: string): void => {
            mine.worker.terminate();
            if (current === mine) current = null;
            reject(new Error(why));
          };
          timer = setTimeout(() => end('the engraver does not answer'), ENGRAVING_MS);
          mine.worker.addEventListener('error', () => end('the engraver stopped'), { once: true });
        });
        const asked = async (): Promise<Result<SentPage>> => {
          const first = await mine.api.engrave({ ...question, place, early: early !== undefined });
          if (!first.ok || first.value.complete || !isNewest()) return first;
          early?.(first.value);
          const sent = new Map(first.value.systems.map(({ key, svg }) => [key, svg]));
          const all = await mine.api.rest(place, [...sent.keys()]);
          if (!all.ok) return all;
          // Whether the first systems stand on the page by now is not known: their drawings go along.
          const systems = all.value.systems.map(({ key, svg }) => ({
            key,
            svg: svg ?? sent.get(key) ?? null,
          }));
          return ok({ ...all.value, systems });
        };
        try {
          return await Promise.race([asked(), broken]);
        } finally {
          clearTimeout(timer);
        }
      });
    },
    print: async (planned, options) => {
      // A worker of its own: a long part takes a while, and the page goes on being engraved.
      const worker = new Worker(new URL('./engraving-worker.ts', import.meta.url), { type: 'module' });
      try {
        return await new Promise((resolve, reject) => {
          worker.addEventListener('error', () => reject(new Error('the engraver stopped')), { once: true });
          wrap<EngravingApi>(worker).print(planned, options).then(resolve, reject);
        });
      } finally {
        worker.terminate();
      }
    },
    warm: () => {
      start()
        .api.warm()
        .catch(() => undefined);
    },
  };
}
