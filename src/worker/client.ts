/** The page's side of the workers: started when first needed, requests numbered, stale replies dropped. */

import { type Remote, proxy, wrap } from 'comlink';
import type { Result } from '../base/result';
import type { ProposeAnswer, ProposeRequest } from '../proposals/types';
import { type Ask, latestOnly } from './latest';
import type { Arranged } from './part-arranged';
import type { MendQuestion, MendedPart, OpenedPart, PartQuestion, ReduceQuestion } from './part-answers';
import type { PlanQuestion, PlannedLevers, PlannedPart } from './part-planned';
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
export const mendClient = (told: Progress): Stoppable<MendQuestion, Result<MendedPart>> =>
  newestIn<PartApi, MendQuestion, Result<MendedPart>>(partWorker, (api, question) =>
    api.mend(question, proxy(told)),
  );

/** A piano part as harp music. */
export const reduceClient = (told: Progress): Stoppable<ReduceQuestion, Result<Arranged>> =>
  newestIn<PartApi, ReduceQuestion, Result<Arranged>>(partWorker, (api, question) =>
    api.reduce(question, proxy(told)),
  );

/** Its pedals planned anew. */
export const planClient = (): Stoppable<PlanQuestion, Result<PlannedPart | PlannedLevers>> =>
  newestIn<PartApi, PlanQuestion, Result<PlannedPart | PlannedLevers>>(partWorker, (api, question) =>
    api.plan(question),
  );

/** The user's own file with every repair, or with the plan that is asked for. */
export const partFileClient = (): Stoppable<PartQuestion | PlanQuestion, Result<Uint8Array>> =>
  newestIn<PartApi, PartQuestion | PlanQuestion, Result<Uint8Array>>(partWorker, (api, question) =>
    api.file(question),
  );

export { type EngravingClient, engravingClient } from './engraving-client';
