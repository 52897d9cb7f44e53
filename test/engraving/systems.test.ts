// System by system: what a change leaves as it was is not drawn again, and the page is the one a new engraver draws.
import fc from 'fast-check';
import { VerovioToolkit } from 'verovio/esm';
import { beforeAll, beforeEach, describe, expect, it, vi } from 'vitest';
import { ticks } from '../../src/base/units';
import { PAGE_MUSIC } from '../../src/engraving/defaults';
import { type Engraver, loadEngraver } from '../../src/engraving/engraver';
import type { EngravedPage, EngraveOptions } from '../../src/engraving/types';
import { NATURAL_SETTING } from '../../src/harp/setting';
import { stringOf, stringPitch } from '../../src/harp/strings';
import type { PlannedPassage } from '../../src/harp/planned';
import { writeMusicXml } from '../../src/interchange/musicxml-write';
import type { Pluck } from '../../src/music/passage';
import { makeBars } from '../../src/music/metre';
import { emptyPassage, onConcertHarp, plannedPassages } from '../interchange/passages';
import { richPassage } from '../interchange/rich-passage';

const BAR = 13_440;
const SIZE = { width: 700, scale: 44 };
const MUSIC = { ...PAGE_MUSIC, multiRests: true };

/** The rich passage so many times over: ties into the air, hairpins, 8va, keys, rests, glissandi at every turn. */
function long(times: number): PlannedPassage {
  const { passage, ...plan } = richPassage();
  const again = <T extends { readonly onset: number }>(list: readonly T[] = []): T[] =>
    Array.from({ length: times }, (_, time) =>
      list.map((e) => ({
        ...e,
        ...('id' in e ? { id: `${String(e.id)}.${time}` } : {}),
        onset: ticks(e.onset + time * 11 * BAR),
      })),
    ).flat();
  const hairpins = Array.from({ length: times }, (_, time) =>
    (passage.hairpins ?? []).map((pin) => ({
      ...pin,
      from: ticks(pin.from + time * 11 * BAR),
      to: ticks(pin.to + time * 11 * BAR),
    })),
  ).flat();
  return {
    ...plan,
    passage: {
      ...passage,
      bars: makeBars({ beats: 4, unit: 4 }, 11 * times),
      plucks: again(passage.plucks),
      sweeps: again(passage.sweeps),
      damps: again(passage.damps),
      words: again(passage.words),
      rehearsals: again(passage.rehearsals),
      ...{ rolls: [], slides: [], hairpins },
    },
  };
}

/** So many bars of eighths, four in each hand. */
function plain(bars: number): PlannedPassage {
  const planned = onConcertHarp(emptyPassage({ beats: 4, unit: 4 }, bars), NATURAL_SETTING);
  const plucks = Array.from({ length: 8 * bars }, (_, i): Pluck => {
    const hand = i % 8 < 4 ? 'L' : 'R';
    return {
      ...{ id: `n${i}`, onset: ticks((i * BAR) / 8), duration: ticks(BAR / 8), hand, finger: null },
      ...{ pitch: stringPitch(14 + 2 * (i % 8) + (i % 3), 0), technique: 'ordinary', dynamic: 'mf' },
    };
  });
  return { ...planned, passage: { ...planned.passage, plucks } };
}

/** One note a step higher. */
const withChange = (planned: PlannedPassage, index: number): PlannedPassage => ({
  ...planned,
  passage: {
    ...planned.passage,
    plucks: planned.passage.plucks.map((p, i) =>
      i === index ? { ...p, pitch: stringPitch(stringOf(p.pitch) + 1, 0) } : p,
    ),
  },
});

describe('the engraver', () => {
  let engrave: Engraver;
  let fresh: Engraver;
  beforeAll(async () => {
    [engrave, fresh] = await Promise.all([loadEngraver(), loadEngraver()]);
  }, 60_000);
  beforeEach(() => void vi.restoreAllMocks());
  const page = (by: Engraver, planned: PlannedPassage, options: EngraveOptions = SIZE): EngravedPage => {
    const answer = by(writeMusicXml(planned, MUSIC), options);
    if (!answer.ok) throw new Error('refused');
    return answer.value;
  };
  const oneBar = onConcertHarp(emptyPassage({ beats: 4, unit: 4 }, 1));
  const forget = (): void => {
    for (const width of [610, 620, 630, 640]) page(fresh, oneBar, { ...SIZE, width });
  };
  /** What an engraver that remembers nothing of the part draws. */
  const anew = (planned: PlannedPassage): EngravedPage => {
    forget();
    return page(fresh, planned);
  };

  it('draws the first systems first, goes on from there, and ends with the same page', () => {
    const planned = long(4);
    const early = page(engrave, planned, { ...SIZE, early: 8 });
    expect(early.complete).toBe(false);
    expect(early.systems.length).toBeGreaterThan(0);
    const drawn = vi.spyOn(VerovioToolkit.prototype, 'renderToSVG');
    const all = page(engrave, planned);
    expect(all.complete).toBe(true);
    expect(all.systems.slice(0, early.systems.length)).toEqual(early.systems);
    expect(drawn.mock.calls.length).toBeLessThanOrEqual(all.systems.length - early.systems.length + 1);
    expect(all.systems).toEqual(anew(planned).systems);
    expect(all.systems.length).toBeGreaterThan(6);
  });

  it('draws one system again for one note, a neighbour at most besides', () => {
    const planned = plain(60);
    const before = page(engrave, planned);
    const keys = new Set(before.systems.map(({ key }) => key));
    for (const share of [0.05, 0.35, 0.62, 0.97]) {
      const changed = withChange(planned, Math.floor(share * planned.passage.plucks.length));
      const drawn = vi.spyOn(VerovioToolkit.prototype, 'renderToSVG');
      const after = page(engrave, changed);
      expect(drawn.mock.calls.length).toBeLessThanOrEqual(4);
      vi.restoreAllMocks();
      expect(after.systems.filter(({ key }) => !keys.has(key)).length).toBeLessThanOrEqual(2);
      expect(after.systems).toEqual(anew(changed).systems);
    }
  });

  it('draws any part of chance after a change as a new engraver does', () => {
    let systems = 0;
    const size = { width: 360, scale: 44 };
    fc.assert(
      fc.property(plannedPassages, fc.nat(1000), (planned, at) => {
        if (planned.passage.plucks.length === 0) return;
        const changed = withChange(planned, at % planned.passage.plucks.length);
        page(engrave, planned, size);
        const after = page(engrave, changed, size);
        forget();
        expect(after.systems).toEqual(page(fresh, changed, size).systems);
        systems += after.systems.length;
      }),
      { numRuns: 6, seed: 3, endOnFailure: true },
    );
    expect(systems).toBeGreaterThan(12);
  });

  it('knows a bar put in or taken out, and one long line', () => {
    const [three, four] = [long(3), long(4)];
    page(engrave, three);
    expect(page(engrave, four).systems).toEqual(anew(four).systems);
    expect(page(engrave, three).systems).toEqual(anew(three).systems);
    const line = page(engrave, three, { ...SIZE, line: true, early: 8 });
    expect([line.systems.length, line.complete]).toEqual([1, true]);
  });
});
