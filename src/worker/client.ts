/** The page's side of the workers: started when first needed, requests numbered, stale replies dropped. */

import { type Remote, wrap } from 'comlink';
import type { Result } from '../base/result';
import type { EngraveOptions, EngravedPage } from '../engraving/types';
import type { ProposeAnswer, ProposeRequest } from '../proposals/types';
import type { EngravingApi } from './engraving-worker';
import { type Ask, latestOnly } from './latest';
import type { ProposeApi } from './propose-worker';

/**
 * A search in a worker. Only the newest request is answered; earlier ones get `{ stale: true }`. A search that
 * still runs when a newer one is asked for is ended together with its worker, so that the newer starts at once.
 */
export function proposeClient(): Ask<ProposeRequest, ProposeAnswer> {
  let worker: Worker | null = null;
  let api: Remote<ProposeApi> | null = null;
  let busy = 0;
  return latestOnly((request: ProposeRequest) => {
    if (busy > 0) {
      worker?.terminate();
      api = null;
      busy = 0;
    }
    if (api === null) {
      worker = new Worker(new URL('./propose-worker.ts', import.meta.url), { type: 'module' });
      api = wrap<ProposeApi>(worker);
    }
    const mine = worker;
    busy++;
    const failed = new Promise<never>((_, reject) => {
      mine?.addEventListener('error', (event) => reject(new Error(event.message || 'the search stopped')), {
        once: true,
      });
    });
    return Promise.race([api.propose(request), failed]).finally(() => {
      if (mine === worker && busy > 0) busy--;
    });
  });
}

export interface EngravingClient {
  readonly engrave: Ask<
    { readonly musicXml: string; readonly options: EngraveOptions },
    Result<EngravedPage>
  >;
  /** Loads the engraver ahead of need. */
  warm(): void;
}

export function engravingClient(): EngravingClient {
  let api: Remote<EngravingApi> | null = null;
  const start = (): Remote<EngravingApi> =>
    (api ??= wrap<EngravingApi>(
      new Worker(new URL('./engraving-worker.ts', import.meta.url), { type: 'module' }),
    ));
  return {
    engrave: latestOnly(async ({ musicXml, options }) => await start().engrave(musicXml, options)),
    warm: () => void start().warm(),
  };
}
