/** Renders strings off the main thread. */

import { expose, transfer } from 'comlink';
import { type RenderRequest, renderString } from '../sound/render-string';

const api = {
  /** Samples of one pluck; their memory is handed over. */
  render(request: RenderRequest): Float32Array {
    const samples = renderString(request);
    return transfer(samples, [samples.buffer as ArrayBuffer]);
  },
};
export type SoundWorker = typeof api;

expose(api);
