/** The page's side of the workers: started when first needed, requests numbered, stale replies dropped. */

import { type Remote, proxy, wrap } from 'comlink';
import type { Result } from '../base/result';
import type { PrintOptions, PrintedPart } from '../engraving/printable';
import type { EngraveOptions, EngravedPage } from '../engraving/types';
import type { PlannedPassage } from '../harp/planned';
import type { ProposeAnswer, ProposeRequest } from '../proposals/types';
import type { EngravingApi } from './engraving-worker';
import { type Ask, latestOnly } from './latest';
import type { Arranged } from './part-arranged';
import type { MendQuestion, MendedPart, OpenedPart, PartQuestion, ReduceQuestion } from './part-answers';
import type { PartApi } from './part-worker';
import type { ProposeApi } from './propose-worker';

/** A call that can be given up: what waits is answered with a reason. */
export type Stoppable<Q, T> = Ask<Q, T> & { readonly stop: () => void };

/** Told the share of the work that is done, 0 to 1. */
export type Progress = (share: number) => void;

/**
 * Calls to a worker. Only the newest is answered; earlier ones get `{ stale: true }`. One that still runs when a newer
 * is asked for is ended together with its worker, so that the newer starts at once.
 */
function newestIn<Api, Q, T>(
  start: () => Worker,
  call: (api: Remote<Api>, question: Q) => Promise<T>,
): Stoppable<Q, T> {
  let worker: Worker | null = null;
  let api: Remote<Api> | null = null;
  let busy = 0;
  let giveUp: ((why: Error) => void) | null = null;
  const ask = latestOnly((question: Q) => {
    if (busy > 0) {
      worker?.terminate();
      api = null;
      busy = 0;
    }
    if (api === null) {
      worker = start();
      api = wrap<Api>(worker);
    }
    const mine = worker;
    busy++;
    const failed = new Promise<never>((_, reject) => {
      giveUp = reject;
      mine?.addEventListener('error', (event) => reject(new Error(event.message || 'the work stopped')), {
        once: true,
      });
    });
    return Promise.race([call(api, question), failed]).finally(() => {
      if (mine === worker && busy > 0) busy--;
    });
  });
  const stop = (): void => {
    if (busy === 0) return;
    worker?.terminate();
    api = null;
    busy = 0;
    giveUp?.(new Error('it was stopped'));
  };
  return Object.assign(ask, { stop });
}

/** A search for figures. */
export const proposeClient = (): Ask<ProposeRequest, ProposeAnswer> =>
  newestIn<ProposeApi, ProposeRequest, ProposeAnswer>(
    () => new Worker(new URL('./propose-worker.ts', import.meta.url), { type: 'module' }),
    (api, request) => api.propose(request),
  );

const partWorker = (): Worker => new Worker(new URL('./part-worker.ts', import.meta.url), { type: 'module' });

/** A part read from a file and checked. */
export const openClient = (told: Progress): Stoppable<PartQuestion, Result<OpenedPart>> =>
  newestIn<PartApi, PartQuestion, Result<OpenedPart>>(partWorker, (api, question) =>
    api.open(question, proxy(told)),
  );

/** Its errors and their repairs. */
export const mendClient = (): Stoppable<MendQuestion, Result<MendedPart>> =>
  newestIn<PartApi, MendQuestion, Result<MendedPart>>(partWorker, (api, question) => api.mend(question));

/** A piano part as harp music. */
export const reduceClient = (told: Progress): Stoppable<ReduceQuestion, Result<Arranged>> =>
  newestIn<PartApi, ReduceQuestion, Result<Arranged>>(partWorker, (api, question) =>
    api.reduce(question, proxy(told)),
  );

/** The user's own file with every repair. */
export const mendedFileClient = (): Stoppable<PartQuestion, Result<Uint8Array>> =>
  newestIn<PartApi, PartQuestion, Result<Uint8Array>>(partWorker, (api, question) => api.file(question));

export interface EngravingClient {
  /** A place for one score: of what is asked there, only the newest is answered. */
  place(): Ask<{ readonly musicXml: string; readonly options: EngraveOptions }, Result<EngravedPage>>;
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
  const start = (): NonNullable<typeof current> => {
    if (current !== null) return current;
    const worker = new Worker(new URL('./engraving-worker.ts', import.meta.url), { type: 'module' });
    current = { worker, api: wrap<EngravingApi>(worker) };
    return current;
  };
  return {
    place: () =>
      latestOnly(async ({ musicXml, options }) => {
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
        try {
          return await Promise.race([mine.api.engrave(musicXml, options), broken]);
        } finally {
          clearTimeout(timer);
        }
      }),
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
