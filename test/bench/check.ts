// A long part held against every rule: 500, 1,000 and 5,000 bars, made by repeating proposals; with marks and without.
import { ticks } from '../../src/base/units';
import { makeBars } from '../../src/music/metre';
import type { Pluck } from '../../src/music/passage';
import { type PartToCheck, checkPart } from '../../src/proposals/check';
import { propose } from '../../src/proposals/propose';
import type { Measure } from './main';

const TEXT = 'Ebmaj7 | Cm9 | Fm7 Bb7b9 | Eb6/9 | Abmaj7 | Am7b5 D7b9 | Gm7 C7 | Fm7 Bb13';

/** A part of so many bars, from one proposal after another. */
function longPart(count: number, marked: boolean): PartToCheck {
  const metre = { beats: 4, unit: 4 };
  const { proposals } = propose({
    text: TEXT,
    metre,
    milliBpm: 80_000,
    seed: 'bench',
    count: 8,
    families: [],
    start: null,
    aim: 'practical',
    key: null,
    title: '',
  });
  const plain = proposals.filter(({ planned: { passage: p } }) => p.sweeps.length + p.trembles.length === 0);
  const bars = makeBars(metre, count);
  const block = bars[8]?.start ?? 0;
  const plucks: Pluck[] = [];
  const settings: PartToCheck['markings']['settings'][number][] = [];
  const moves: PartToCheck['markings']['moves'][number][] = [];
  for (let k = 0; k * 8 < count; k++) {
    const planned = plain[k % plain.length]?.planned;
    if (planned === undefined) break;
    const on = (t: number) => ticks(t + k * block);
    for (const p of planned.passage.plucks) plucks.push({ ...p, id: `${k}.${p.id}`, onset: on(p.onset) });
    settings.push({ onset: on(0), setting: planned.start });
    for (const m of planned.moves) moves.push({ onset: on(m.onset), letter: m.letter, to: m.to });
  }
  const first = plain[0]?.planned.passage;
  if (first === undefined) throw new Error('no proposal to repeat');
  const passage = { ...first, bars, plucks, rolls: [], chords: [], damps: [] };
  return { passage, markings: marked ? { settings, moves } : { settings: [], moves: [] } };
}

const without = (part: PartToCheck): PartToCheck => ({
  ...part,
  passage: { ...part.passage, plucks: part.passage.plucks.map((p) => ({ ...p, hand: null })) },
});

export async function bench(): Promise<Measure[]> {
  const out: Measure[] = [];
  const time = (name: string, part: PartToCheck): void => {
    const start = performance.now();
    const { onsets } = checkPart(part);
    out.push({ name: `${name} (${onsets} onsets)`, value: performance.now() - start, unit: 'ms' });
  };
  checkPart(longPart(64, true));
  for (const bars of [500, 1000, 5000]) {
    time(`${bars} bars with marks`, longPart(bars, true));
    time(`${bars} bars as printed`, longPart(bars, false));
  }
  time('1000 bars as printed, hands searched', without(longPart(1000, false)));
  return out;
}
