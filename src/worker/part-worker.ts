/** Parts that users bring, in a worker: read, checked, mended, arranged. A long part never holds up the page. */

import { expose } from 'comlink';
import type { Result } from '../base/result';
import type { Arranged } from './part-arranged';
import {
  type MendQuestion,
  type MendedPart,
  type OpenedPart,
  type PartQuestion,
  type ReduceQuestion,
  mendDesk,
  mendedFile,
  openPart,
  reduceOpened,
} from './part-answers';
import {
  type PlanQuestion,
  type PlannedLevers,
  type PlannedPart,
  planOpened,
  plannedFile,
} from './part-planned';

/** Tells of progress by the hundredth, not at every step. */
function sparing(told: (share: number) => void): (share: number) => void {
  let last = -1;
  return (share) => {
    const hundredth = Math.floor(share * 100);
    if (hundredth === last) return;
    last = hundredth;
    told(share);
  };
}

const mend = mendDesk();

const api = {
  open: (question: PartQuestion, told: (share: number) => void): Result<OpenedPart> =>
    openPart(question, sparing(told)),
  mend: (question: MendQuestion, told: (share: number) => void): Result<MendedPart> =>
    mend(question, sparing(told)),
  reduce: (question: ReduceQuestion, told: (share: number) => void): Result<Arranged> =>
    reduceOpened(question, sparing(told)),
  plan: (question: PlanQuestion): Result<PlannedPart | PlannedLevers> => planOpened(question),
  /** With repairs, or with the plan that is asked for. */
  file: (question: PartQuestion | PlanQuestion): Result<Uint8Array> =>
    'asked' in question ? plannedFile(question) : mendedFile(question),
};
export type PartApi = typeof api;

expose(api);
