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
  mendOpened,
  mendedFile,
  openPart,
  reduceOpened,
} from './part-answers';

const api = {
  open: (question: PartQuestion): Result<OpenedPart> => openPart(question),
  mend: (question: MendQuestion): Result<MendedPart> => mendOpened(question),
  reduce: (question: ReduceQuestion): Result<Arranged> => reduceOpened(question),
  file: (question: PartQuestion): Result<Uint8Array> => mendedFile(question),
};
export type PartApi = typeof api;

expose(api);
