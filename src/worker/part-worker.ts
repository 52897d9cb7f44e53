/** Parts that users bring, in a worker: read, checked. A long part never holds up the page. */

import { expose } from 'comlink';
import type { Result } from '../base/result';
import { type OpenedPart, type PartQuestion, openPart } from './part-answers';

const api = {
  open(question: PartQuestion): Result<OpenedPart> {
    return openPart(question);
  },
};
export type PartApi = typeof api;

expose(api);
