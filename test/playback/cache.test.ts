/** Rendered strings kept between visits, and the version they are kept by. */
import { createHash } from 'node:crypto';
import { describe, expect, it } from 'vitest';
import { type StringCache, createCachedRenderer, createStringCache } from '../../src/playback/string-cache';
import { renderString } from '../../src/sound/render-string';
import { MODEL_VERSION } from '../../src/sound/version';
import { countingRenderer } from './fake-desk';

const request = (string: number) =>
  ({ string, position: 0, technique: 'ordinary', layer: 'medium', sampleRate: 8000 }) as const;

function memory(): StringCache & { kept: Map<string, Float32Array> } {
  const kept = new Map<string, Float32Array>();
  return {
    kept,
    get: (key) => Promise.resolve(kept.get(key) ?? null),
    set: (key, samples) => void kept.set(key, samples),
    close: () => undefined,
  };
}

describe('cached renderer', () => {
  it('renders a string once for all visits, and keeps sample rates apart', async () => {
    const cache = memory();
    const first = countingRenderer();
    const a = await createCachedRenderer(first, cache).render(request(20));
    const second = countingRenderer();
    const b = await createCachedRenderer(second, cache).render(request(20));
    expect(first.rendered.length).toBe(1);
    expect(second.rendered.length).toBe(0);
    expect(b).toEqual(a);
    await createCachedRenderer(second, cache).render({ ...request(20), sampleRate: 16_000 });
    expect(second.rendered.length).toBe(1);
    expect(cache.kept.size).toBe(2);
  });

  it('keeps nothing that hangs on the pedals of the moment', async () => {
    const cache = memory();
    const renderer = countingRenderer();
    await createCachedRenderer(renderer, cache).render({ ...request(20), halo: 1093 });
    await createCachedRenderer(renderer, cache).render({ ...request(20), buzz: true });
    expect(cache.kept.size).toBe(0);
    expect(renderer.rendered.length).toBe(2);
  });

  it('does not wait for a disk that does not answer', async () => {
    const renderer = countingRenderer();
    const stuck: StringCache = { ...memory(), get: () => new Promise(() => undefined) };
    const samples = await createCachedRenderer(renderer, stuck, 10).render(request(30));
    expect(samples.length).toBeGreaterThan(0);
    expect(renderer.rendered.length).toBe(1);
  });

  it('falls back in silence where there is no database', async () => {
    const cache = createStringCache();
    cache.set('x', new Float32Array(4));
    expect(await cache.get('x')).toBeNull();
    cache.close();
    expect(await cache.get('x')).toBeNull();
  });
});

it('has a version for every sound: a change of the samples needs a new one', () => {
  const hash = createHash('sha256');
  for (const string of [0, 9, 15, 22, 31, 36, 46]) {
    for (const technique of ['ordinary', 'table', 'harmonic', 'etouffe', 'nail'] as const) {
      for (const layer of ['soft', 'medium', 'loud'] as const) {
        const x = renderString({ ...request(string), technique, layer, sampleRate: 48_000, maxSeconds: 0.3 });
        hash.update(new Uint8Array(x.buffer));
      }
    }
  }
  // When this fails because the sound was meant to change: raise MODEL_VERSION and write the new pair here.
  expect([MODEL_VERSION, hash.digest('hex').slice(0, 16)]).toEqual(['2', '060f4dc24fb8e040']);
});
