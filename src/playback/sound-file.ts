/** A passage as a sound file for the page's button, made in a worker where one can be had. */

import { releaseProxy, wrap } from 'comlink';
import type { PlayedNote } from '../harp/performance';
import { type FileOptions, renderWav } from '../sound/render-wav';
import type { SoundWorker } from '../worker/sound-worker';

/** The bytes of a WAV file, the same that `render` writes. Falls back to this thread when the worker cannot start. */
export async function soundFile(
  notes: readonly PlayedNote[],
  options: FileOptions = {},
): Promise<Uint8Array> {
  const here = (): Uint8Array => renderWav(notes, options).bytes;
  if (typeof Worker === 'undefined') return here();
  let worker: Worker;
  try {
    worker = new Worker(new URL('../worker/sound-worker.ts', import.meta.url), { type: 'module' });
  } catch {
    return here();
  }
  const remote = wrap<SoundWorker>(worker);
  try {
    const broken = new Promise<null>((resolve) => {
      worker.addEventListener('error', () => {
        resolve(null);
      });
    });
    return (await Promise.race([remote.wav(notes, options), broken])) ?? here();
  } finally {
    remote[releaseProxy]();
    worker.terminate();
  }
}
