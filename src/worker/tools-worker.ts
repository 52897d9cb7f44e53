/** Questions about a planned passage that take a while, in a worker: cheaper neighbours, two harps. */

import { expose } from 'comlink';
import type { PlannedPassage } from '../harp/planned';
import type { PlanOptions } from '../pedals/types';
import { type Neighbour, neighboursOf } from '../proposals/neighbours';
import { type TwoHarpsAnswer, twoHarps } from '../proposals/two-harps';

const api = {
  neighbours: (planned: PlannedPassage, options: PlanOptions): Neighbour[] => neighboursOf(planned, options),
  twoHarps: (planned: PlannedPassage, options: PlanOptions): TwoHarpsAnswer =>
    twoHarps(planned.passage, options),
};
export type ToolsApi = typeof api;

expose(api);
