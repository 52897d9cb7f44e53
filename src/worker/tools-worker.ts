/** Questions about a planned passage that take a while, in a worker: cheaper neighbours, two harps. */

import { expose } from 'comlink';
import type { PlannedPassage } from '../harp/planned';
import { type ForcedBars, forcedBars } from '../pedals/forced';
import type { PlanOptions } from '../pedals/types';
import { type Nearby, neighboursOf } from '../proposals/neighbours';
import { type TwoHarpsAnswer, twoHarpsInSteps } from '../proposals/two-harps';

/** Small changes that are cheaper, and the bars in which time alone forces moves. */
export interface CheaperAnswer extends Nearby {
  readonly forced: readonly ForcedBars[];
}

const api = {
  neighbours: (planned: PlannedPassage, options: PlanOptions): CheaperAnswer => ({
    ...neighboursOf(planned, options),
    forced: forcedBars(planned.passage, options),
  }),
  /** `told` hears the share done, 0 to 1. */
  twoHarps: (
    planned: PlannedPassage,
    options: PlanOptions,
    told: (share: number) => void,
  ): TwoHarpsAnswer => {
    const steps = twoHarpsInSteps(planned.passage, options);
    for (;;) {
      const step = steps.next();
      if (step.done === true) return step.value;
      told(step.value);
    }
  },
};
export type ToolsApi = typeof api;

expose(api);
