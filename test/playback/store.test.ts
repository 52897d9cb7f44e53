/** The store of rendered strings keeps within its memory and never leaves a note without sound. */
import { describe, expect, it } from 'vitest';
import { STORE_BYTES, createStringStore } from '../../src/playback/string-store';
import type { VoiceId } from '../../src/sound/note';
import { createBank } from '../../src/sound/voice-bank';

const voice = (string: number): VoiceId => ({ string, position: 0, technique: 'ordinary', layer: 'medium' });
const settle = async (): Promise<void> => {
  for (let i = 0; i < 400; i++) await Promise.resolve();
};

describe('string store', () => {
  it('stays under 100 MB whatever is asked, and still has what is needed next', async () => {
    const order: number[] = [];
    const store = createStringStore(
      48_000,
      {
        render: (r) => (order.push(r.string), Promise.resolve(new Float32Array(1))),
        dispose: () => undefined,
      },
      (samples) => samples,
      () => 5_000_000,
      () => undefined,
    );
    store.wantIdly(Array.from({ length: 40 }, (_, i) => voice(i)));
    await settle();
    // Idle work leaves room.
    expect(store.bytes).toBeLessThanOrEqual(75_000_000);
    expect(store.has(voice(0))).toBe(true);
    store.wantSoon([voice(40), voice(41), voice(42), voice(43), voice(44), voice(45)]);
    await settle();
    expect(store.bytes).toBeLessThanOrEqual(STORE_BYTES);
    expect(STORE_BYTES).toBeLessThan(100_000_000);
    for (let i = 40; i <= 45; i++) expect(store.has(voice(i))).toBe(true);
  });

  it('shares the work when a string is asked for twice at once', async () => {
    let renders = 0;
    const store = createStringStore(
      48_000,
      { render: () => (renders++, Promise.resolve(new Float32Array(1))), dispose: () => undefined },
      (samples) => samples,
      () => 4,
      () => undefined,
    );
    await Promise.all([store.ready([voice(3)]), store.ready([voice(3)])]);
    expect(renders).toBe(1);
  });
});

describe('bank', () => {
  it('gives up the least recently used', () => {
    const bank = createBank<string>(3, (s) => s.length);
    bank.set('a', 'x');
    bank.set('b', 'x');
    bank.set('c', 'x');
    bank.get('a');
    bank.set('d', 'x');
    expect(['a', 'b', 'c', 'd'].map((k) => bank.has(k))).toEqual([true, false, true, true]);
    bank.set('e', 'longer than all');
    expect(bank.size).toBe(1);
    expect(bank.has('e')).toBe(true);
    bank.set('e', 'xx');
    expect(bank.bytes).toBe(2);
  });
});
