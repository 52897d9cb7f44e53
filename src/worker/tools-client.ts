/** The page's way to the tools worker: one question each, which can be given up. */

import { type Remote, proxy, wrap } from 'comlink';
import type { PlannedPassage } from '../harp/planned';
import type { PlanOptions } from '../pedals/types';
import type { TwoHarpsAnswer } from '../proposals/two-harps';
import type { CheaperAnswer, ToolsApi } from './tools-worker';

export interface Asked<T> {
  /** Rejects where the worker breaks down; never settles once it was given up. */
  readonly answer: Promise<T>;
  /** Gives the question up: its worker is ended. */
  end(): void;
}

/** Hears a question's answer, or that it failed, until it is given up: by the function that comes back. */
export function hearing<T>(question: Asked<T>, heard: (answer: T) => void, failed: () => void): () => void {
  let given = false;
  question.answer.then(
    (answer) => {
      if (!given) heard(answer);
    },
    () => {
      if (!given) failed();
    },
  );
  return () => {
    given = true;
    question.end();
  };
}

function asked<T>(call: (api: Remote<ToolsApi>) => Promise<T>): Asked<T> {
  const worker = new Worker(new URL('./tools-worker.ts', import.meta.url), { type: 'module' });
  const failed = new Promise<never>((_, reject) => {
    worker.addEventListener('error', (event) => reject(new Error(event.message || 'the work stopped')), {
      once: true,
    });
  });
  return {
    answer: Promise.race([call(wrap<ToolsApi>(worker)), failed]).finally(() => worker.terminate()),
    end: () => worker.terminate(),
  };
}

export const askNeighbours = (planned: PlannedPassage, options: PlanOptions): Asked<CheaperAnswer> =>
  asked((api) => api.neighbours(planned, options));

/** `told` hears the share done, 0 to 1. */
export const askTwoHarps = (
  planned: PlannedPassage,
  options: PlanOptions,
  told: (share: number) => void,
): Asked<TwoHarpsAnswer> => asked((api) => api.twoHarps(planned, options, proxy(told)));
