/** The search in a worker: a long one never holds up the page. */

import { expose } from 'comlink';
import { propose } from '../proposals/propose';
import type { ProposeAnswer, ProposeRequest } from '../proposals/types';

const api = {
  propose(request: ProposeRequest): ProposeAnswer {
    return propose(request);
  },
};
export type ProposeApi = typeof api;

expose(api);
