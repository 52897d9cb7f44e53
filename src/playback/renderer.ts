/** Renders strings in a worker, or here where no worker can be had. */

import { type Remote, releaseProxy, wrap } from 'comlink';
import { type RenderRequest, renderString } from '../sound/render-string';
import type { SoundWorker } from '../worker/sound-worker';

export interface StringRenderer {
  render(request: RenderRequest): Promise<Float32Array>;
  dispose(): void;
}

/** Renders on the calling thread, one string in a task, so that the page stays alive. */
export function createLocalRenderer(): StringRenderer {
  return {
    render: (request) =>
      new Promise((resolve) => {
        setTimeout(() => resolve(renderString(request)), 0);
      }),
    dispose: () => undefined,
  };
}

/** Renders in a worker; falls back to the calling thread when the worker cannot start. */
export function createWorkerRenderer(): StringRenderer {
  const local = createLocalRenderer();
  if (typeof Worker === 'undefined') return local;
  let worker: Worker | null = null;
  let remote: Remote<SoundWorker> | null = null;
  let fail: () => void = () => undefined;
  const broken = new Promise<null>((resolve) => {
    fail = () => resolve(null);
  });
  const close = (): void => {
    remote?.[releaseProxy]();
    worker?.terminate();
    worker = null;
    remote = null;
  };
  try {
    worker = new Worker(new URL('../worker/sound-worker.ts', import.meta.url), { type: 'module' });
    worker.addEventListener('error', () => {
      fail();
      close();
    });
    remote = wrap<SoundWorker>(worker);
  } catch {
    close();
  }
  return {
    render: async (request) => {
      if (remote === null) return local.render(request);
      const samples = await Promise.race([remote.render(request), broken]);
      return samples ?? local.render(request);
    },
    dispose: () => {
      fail();
      close();
    },
  };
}
