// The page's state: what is kept, what is undone, which answer counts.
import { describe, expect, it } from 'vitest';
import { fileStem } from '../../src/app/download';
import { newHistory, record, redo, undo } from '../../src/app/history';
import { type Keep, saver, unstamp } from '../../src/app/keep';
import { type App, createApp } from '../../src/app/state.svelte';
import { DEFAULT_WORK, canAsk, decodeWork, encodeWork, requestOf } from '../../src/app/work';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import { propose } from '../../src/proposals/propose';
import type { ProposeAnswer, ProposeRequest } from '../../src/proposals/types';
import { textSegments } from '../../src/ui/segments';
import { type Reply, latestOnly } from '../../src/worker/latest';
import { memory } from './memory';

/** An app whose search answers only when told to. */
function open(keep: Keep): { app: App; asked: ProposeRequest[]; answer: (i: number) => Promise<void> } {
  const asked: ProposeRequest[] = [];
  const waiting: ((a: ProposeAnswer) => void)[] = [];
  const ask = latestOnly((request: ProposeRequest) => {
    asked.push(request);
    return new Promise<ProposeAnswer>((resolve) => waiting.push(resolve));
  });
  const app = createApp({ ask, keep, saveAfterMs: 0 });
  return {
    app,
    asked,
    answer: async (i) => {
      waiting[i]?.({
        progression: app.view.progression,
        proposals: [],
        rejected: [{ family: String(i), problems: [] }],
      });
      await new Promise((resolve) => setTimeout(resolve, 0));
    },
  };
}

describe('the glissando’s desk', () => {
  it('goes back and forward in its own steps; typing in one field is one', async () => {
    const keep = memory(null);
    const { app } = open(keep);
    const first = app.view.gliss.text;
    app.change({ kind: 'input', part: { tempo: 100 }, step: null });
    for (const text of ['E', 'E7']) app.change({ kind: 'gliss', part: { text } });
    app.change({ kind: 'gliss', part: { allow: 'D' } });
    expect([app.view.canUndoGliss, app.view.canRedoGliss]).toEqual([true, false]);
    app.change({ kind: 'gliss-undo' });
    expect([app.view.gliss.text, app.view.gliss.allow]).toEqual(['E7', '']);
    app.change({ kind: 'gliss-undo' });
    expect([app.view.gliss.text, app.view.canUndoGliss, app.view.canRedoGliss]).toEqual([first, false, true]);
    expect(app.view.input.tempo).toBe(100);
    app.change({ kind: 'gliss-redo' });
    expect(app.view.gliss.text).toBe('E7');
    await new Promise((resolve) => setTimeout(resolve, 10));
    expect(decodeWork(keep.kept ?? '')?.gliss.text).toBe('E7');
  });
});

describe('a piece renamed', () => {
  it('is the same music: its list stands, under the new name', async () => {
    const request = requestOf({ ...DEFAULT_WORK.input, families: ['rolled-chords'] });
    const found = propose({ ...request, count: 1 });
    const { app } = (() => {
      const ask = latestOnly(() => Promise.resolve(found));
      return { app: createApp({ ask, keep: memory(null), saveAfterMs: 0 }) };
    })();
    app.change({ kind: 'propose' });
    await new Promise((resolve) => setTimeout(resolve, 0));
    expect(app.view.outdated).toBe(false);
    app.change({ kind: 'input', part: { title: 'Harbour', composer: 'A. Nother' }, step: null });
    expect(app.view.outdated).toBe(false);
    const passage = app.view.answer?.proposals[0]?.planned.passage;
    expect([passage?.title, passage?.composer]).toEqual(['Harbour', 'A. Nother']);
    app.change({ kind: 'undo' });
    expect(app.view.answer?.proposals[0]?.planned.passage.title).toBe('Lamplight on the Quay');
    app.change({ kind: 'input', part: { tempo: 120 }, step: null });
    expect(app.view.outdated).toBe(true);
  });
});

describe('kept work', () => {
  it('goes out and comes back the same', () => {
    const work = {
      ...DEFAULT_WORK,
      input: { ...DEFAULT_WORK.input, start: 1093, families: ['rolled-chords'] },
    };
    expect(decodeWork(encodeWork(work))).toEqual(work);
  });

  it('is refused where it is junk or out of range', () => {
    const bad = (part: object): string =>
      JSON.stringify({ ...DEFAULT_WORK, input: { ...DEFAULT_WORK.input, ...part } });
    const texts = [
      '',
      'null',
      '{',
      '[]',
      '{"version":2}',
      bad({ tempo: 0 }),
      bad({ metre: '7/4' }),
      bad({ start: 2187 }),
    ];
    expect(texts.map(decodeWork)).toEqual(texts.map(() => null));
    expect(decodeWork(bad({}))).not.toBeNull();
  });

  it('falls back to the default and puts junk aside', async () => {
    const keep = memory('{"version":1,"input":{"text":"my song"}}');
    const { app } = open(keep);
    await app.opened;
    expect(app.view.input).toEqual(DEFAULT_WORK.input);
    expect(app.view.putAside).toBe(true);
    expect(keep.asides).toEqual(['{"version":1,"input":{"text":"my song"}}']);
  });

  it('asks again for the list that was there', async () => {
    const input = { ...DEFAULT_WORK.input, text: 'Dm7 | G7' };
    const { app, asked, answer } = open(memory(encodeWork({ ...DEFAULT_WORK, input, asked: input })));
    await app.opened;
    expect(asked.map((q) => q.text)).toEqual(['Dm7 | G7']);
    await answer(0);
    expect(app.view.search.kind).toBe('answered');
    expect(app.view.outdated).toBe(false);
  });

  it('is written after a change, and at once when the page goes', async () => {
    const keep = memory(null);
    const { app } = open(keep);
    await app.opened;
    app.change({ kind: 'input', part: { text: 'Am7' }, step: null });
    expect(keep.kept).toBeNull();
    app.flush();
    expect(decodeWork(keep.kept ?? '')?.input.text).toBe('Am7');
    app.change({ kind: 'volume', db: -30 });
    await new Promise((resolve) => setTimeout(resolve, 5));
    expect(decodeWork(keep.kept ?? '')?.volume).toBe(-30);
  });

  it('never takes the place of what was typed before it came', async () => {
    const old = encodeWork({ ...DEFAULT_WORK, input: { ...DEFAULT_WORK.input, text: 'old' } });
    const keep = memory(old);
    const { app } = open(keep);
    app.change({ kind: 'input', part: { text: 'typed' }, step: null });
    await app.opened;
    expect(app.view.input.text).toBe('typed');
    expect(keep.asides).toEqual([old]);
  });

  it('saves only the last of several', async () => {
    const written: string[] = [];
    const s = saver(
      { write: (t) => Promise.resolve(void written.push(t)), writeNow: (t) => void written.push(t) },
      0,
    );
    s.save('a');
    s.save('b');
    await new Promise((resolve) => setTimeout(resolve, 5));
    s.flush();
    expect(written).toEqual(['b']);
    expect(unstamp('12:{"a":":"}')).toEqual({ number: 12, text: '{"a":":"}' });
  });
});

describe('undo', () => {
  it('melts steps of one kind and gives back every other', () => {
    let h = newHistory('');
    h = record(h, 'C', 'text');
    h = record(h, 'Cm', 'text');
    h = record(h, 'Cm ', null);
    h = record(h, 'Cm D', 'text');
    expect(h.past).toEqual(['', 'Cm', 'Cm ']);
    h = undo(undo(h));
    expect(h.present).toBe('Cm');
    expect(redo(redo(h)).present).toBe('Cm D');
    expect(redo(record(h, 'X', null)).present).toBe('X');
    expect(undo(newHistory(1))).toEqual(newHistory(1));
  });
});

describe('the gate', () => {
  it('drops the answer to an earlier question', async () => {
    const { app, answer } = open(memory(null));
    await app.opened;
    app.change({ kind: 'propose' });
    app.change({ kind: 'input', part: { seed: '2' }, step: null });
    app.change({ kind: 'propose' });
    await answer(0);
    expect(app.view.search.kind).toBe('searching');
    expect(app.view.answer).toBeNull();
    await answer(1);
    expect(app.view.answer?.rejected[0]?.family).toBe('1');
  });

  it('answers a failed search with its reason', async () => {
    const ask = (): Promise<Reply<ProposeAnswer>> =>
      Promise.resolve({ stale: false, ok: false, reason: 'gone' });
    const app = createApp({ ask, keep: memory(null), saveAfterMs: 0 });
    await app.opened;
    app.change({ kind: 'propose' });
    await new Promise((resolve) => setTimeout(resolve, 0));
    expect(app.view.search).toEqual({ kind: 'failed', reason: 'gone' });
  });
});

describe('a list that is current', () => {
  it('goes along with undo and redo; one that is not waits to be asked', async () => {
    const { app, asked, answer } = open(memory(null));
    await app.opened;
    const steer = (mostMoves: number): void =>
      app.change({ kind: 'input', part: { steering: { mostMoves } }, step: null });
    app.change({ kind: 'propose' });
    await answer(0);
    steer(3);
    app.change({ kind: 'propose', stay: true });
    await answer(1);
    app.change({ kind: 'undo' });
    await answer(2);
    expect(asked.map((q) => q.steering)).toEqual([{}, { mostMoves: 3 }, {}]);
    expect(app.view.outdated).toBe(false);
    app.change({ kind: 'redo' });
    expect(asked[3]?.steering).toEqual({ mostMoves: 3 });
    // Changed and not asked: the list is behind, and undo does not ask for it.
    steer(1);
    steer(2);
    app.change({ kind: 'undo' });
    expect([asked.length, app.view.outdated]).toEqual([4, true]);
  });

  it('keeps to the chosen proposal where it is told to stay', async () => {
    const { proposals, ...rest } = propose({ ...requestOf(DEFAULT_WORK.input), count: 3 });
    const counts: number[] = [];
    // The second list has lost all but its first; the third is asked for the lost one alone.
    const lists = [proposals, proposals.slice(0, 1), proposals.slice(2), proposals];
    const ask = latestOnly((request: ProposeRequest) => {
      counts.push(request.count);
      return Promise.resolve({ ...rest, proposals: lists[counts.length - 1] ?? [] });
    });
    const app = createApp({ ask, keep: memory(null), saveAfterMs: 0 });
    const soon = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, 0));
    await app.opened;
    app.change({ kind: 'propose' });
    await soon();
    const chosen = proposals[2];
    app.change({ kind: 'select', id: chosen?.id ?? '' });
    app.change({ kind: 'propose', stay: true });
    await soon();
    expect(counts).toEqual([24, 24, 1]);
    expect(app.view.answer?.proposals.map((p) => p.id)).toEqual([proposals[0]?.id, chosen?.id]);
    expect(app.view.selected?.id).toBe(chosen?.id);
    app.change({ kind: 'propose' });
    await soon();
    expect([app.work().selected, app.view.selected?.id]).toEqual([null, proposals[0]?.id]);
  });

  it('carries the name of who wrote it', async () => {
    const ask = latestOnly((request: ProposeRequest) => Promise.resolve(propose(request)));
    const app = createApp({ ask, keep: memory(null), saveAfterMs: 0 });
    await app.opened;
    app.change({ kind: 'input', part: { composer: ' M. Alder ', families: ['wave'] }, step: null });
    app.change({ kind: 'propose' });
    await new Promise((resolve) => setTimeout(resolve, 0));
    expect(app.view.selected?.planned.passage.composer).toBe('M. Alder');
    expect(app.view.selected === null ? '' : writeMusicXml(app.view.selected.planned)).toContain(
      '<creator type="composer">M. Alder</creator>',
    );
  });

  it('is not asked for while a melody has a mistake', async () => {
    const { app } = open(memory(null));
    await app.opened;
    const can = (melody: string): boolean => {
      app.change({ kind: 'input', part: { melody }, step: 'melody' });
      return canAsk(app.view.input, app.view.progression);
    };
    expect([can(''), can('C5:2 D5'), can('C5:2 eggs')]).toEqual([true, true, false]);
    expect(requestOf({ ...app.view.input, melody: 'G5:4' }).melody).toHaveLength(1);
    expect(requestOf({ ...app.view.input, melody: ' ' }).melody).toBeUndefined();
  });
});

describe('small things', () => {
  it('names files after title and family', () => {
    expect(fileStem('Träumerei, für Élise!', 'rolled-chords')).toBe('traumerei-fur-elise-rolled-chords');
    expect(fileStem('', '')).toBe('harp-part');
    expect(fileStem('夜', 'wave')).toBe('wave');
  });

  it('cuts a text at its problems', () => {
    const problem = { code: 'x', severity: 'error', value: 0, limit: 0, source: '' } as const;
    const text = 'C | H7 | D';
    const segments = textSegments(text, [{ ...problem, where: { kind: 'text', start: 4, end: 6 } }]);
    expect(segments.map((s) => s.text)).toEqual(['C | ', 'H7', ' | D']);
    expect(segments.map((s) => s.severity)).toEqual([null, 'error', null]);
    expect(textSegments('', [])).toEqual([]);
  });
});
