/** Renders strings, and whole passages into sound files, off the main thread. */

import { expose, transfer } from 'comlink';
import type { PlayedNote } from '../harp/performance';
import { type RenderRequest, renderString } from '../sound/render-string';
import { type FileOptions, renderWav } from '../sound/render-wav';

const api = {
  /** Samples of one pluck; their memory is handed over. */
  render(request: RenderRequest): Float32Array {
    const samples = renderString(request);
    return transfer(samples, [samples.buffer as ArrayBuffer]);
  },
  /** A passage as the bytes of a WAV file; their memory is handed over. */
  wav(notes: readonly PlayedNote[], options: FileOptions): Uint8Array {
    const { bytes } = renderWav(notes, options);
    return transfer(bytes, [bytes.buffer as ArrayBuffer]);
  },
};
export type SoundWorker = typeof api;

expose(api);
