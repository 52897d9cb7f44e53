// What an instant costs a move, tabled from the page: ring, nearness of need, beat, leaps and big rolls.
import { PEDALS, type Position, positionOf } from '../../src/harp/setting';
import { stringLetter, stringOf } from '../../src/harp/strings';
import { barAt, beatTicks } from '../../src/music/metre';
import { type Letter, midiOf } from '../../src/music/pitch';
import type { MilpQuestion } from './milp';
import type { MilpNote } from './milp-spelling';

/** Microseconds, as in the page. */
export interface Times {
  readonly neighbour: number;
  readonly reach: number;
  readonly secondPosition: number;
  readonly settle: number;
}

/** Of the one tempo of a question. */
export const microsOf = (q: Pick<MilpQuestion, 'passage'>) => {
  const milliBpm = q.passage.tempo[0]?.milliBpm ?? 90_000;
  return (ticks: number): number => Math.floor((ticks * 60_000_000_000) / (milliBpm * 3360));
};

interface Strike {
  readonly string: number;
  readonly p: number;
  readonly onset: number;
  readonly rings: number | null;
}

/** Up to G2 10 s, to B3 6, to B5 3, to E6 1.2, above 0.8; wound strings twice as loud. */
const DECAYS = [
  [11, 10],
  [20, 6],
  [34, 3],
  [37, 1.2],
  [46, 0.8],
] as const;

/**
 * Points of a move of a letter at a tick beside its own: `anyhow`, and `early` more unless its pedal is struck in the
 * old position then.
 */
export function instantCosts(q: MilpQuestion, notes: readonly MilpNote[]) {
  const { passage, rates, times } = q;
  const micros = microsOf(q);
  const strikes: Strike[] = [];
  for (const n of notes)
    for (const { pitch } of n.open)
      strikes.push({
        ...{ string: stringOf(pitch), p: pitch.alter, onset: n.onset },
        rings: n.muted ? null : n.until,
      });
  for (const s of passage.sweeps)
    for (let string = Math.min(s.from, s.to); string <= Math.max(s.from, s.to); string++)
      for (const p of new Set(s.settings.map((x) => positionOf(x, stringLetter(string)))))
        strikes.push({ string, p, onset: s.onset, rings: s.onset + Math.max(1, s.duration) });
  const byLetter = new Map(
    PEDALS.map((l) => [
      l,
      strikes.filter((s) => stringLetter(s.string) === l && !q.discless.includes(s.string)),
    ]),
  );
  const onsets = [...new Set(passage.plucks.map((p) => p.onset as number))].sort((a, b) => a - b);
  const ends = onsets.map((onset) => {
    const keys = passage.plucks.filter((p) => p.onset === onset).map((p) => midiOf(p.pitch));
    return [Math.min(...keys), Math.max(...keys)] as const;
  });
  const leaps = onsets.flatMap((onset, i) => {
    const [before, after] = [ends[i - 1], ends[i]];
    if (before === undefined || after === undefined) return [];
    const [low, high] = [after[0] - before[0], after[1] - before[1]];
    const both = Math.min(low, high) >= 24 || Math.max(low, high) <= -24;
    return both ? [[onsets[i - 1] as number, onset] as const] : [];
  });
  const rolls = passage.rolls.flatMap((roll) => {
    const plucks = passage.plucks.filter((p) => roll.plucks.includes(p.id));
    const strings = plucks.map((p) => stringOf(p.pitch));
    const big = plucks.length >= 4 && Math.max(...strings) - Math.min(...strings) >= 10;
    return big && roll.direction !== 'none'
      ? [[plucks[0]?.onset as number, 45_000 * plucks.length] as const]
      : [];
  });

  return (
    letter: Letter,
    p: Position,
    r: Position | number,
    at: number,
  ): { anyhow: number; early: number } => {
    const mine = byLetter.get(letter) as Strike[];
    let anyhow = 0;
    let loud = 0;
    for (const s of rates.ring === undefined ? [] : mine) {
      if (s.p !== p || s.rings === null || s.rings > at) continue;
      const rings = s.rings;
      if (passage.damps.some((d) => d.onset > rings && d.onset <= at && (d.below ?? 99) > s.string)) continue;
      const decay = (DECAYS.find(([highest]) => s.string <= highest) as readonly [number, number])[1] * 1e6;
      const since = micros(at) - micros(rings);
      const level = since < decay / 8 ? 3 : since < decay / 4 ? 2 : since < decay / 2 ? 1 : 0;
      loud = Math.max(loud, level * (s.string <= 11 ? 2 : 1));
    }
    anyhow += (rates.ring ?? 0) * loud;
    const nearness = (from: number): number => {
      const need = Math.min(...mine.filter((s) => s.p === r && s.onset >= from).map((s) => s.onset));
      if (!Number.isFinite(need)) return 0;
      if (micros(need) - micros(at) < times.settle) return rates.late ?? 0;
      const beat = beatTicks(barAt(passage.bars, need as Ticks).metre);
      return need - at < beat ? (rates.ahead ?? 0) : 0;
    };
    const later = nearness(at + 1);
    anyhow += later;
    const bar = barAt(passage.bars, at as Ticks);
    const beat = beatTicks(bar.metre);
    const phase = (at - bar.start) % beat;
    anyhow += phase === 0 ? 0 : 2 * phase === beat ? (rates.offBeat ?? 0) : 2 * (rates.offBeat ?? 0);
    const busy =
      leaps.some(([from, to]) => at >= from && at < to) ||
      rolls.some(([from, long]) => at >= from && micros(at) - micros(from) < long);
    anyhow += busy ? (rates.busy ?? 0) : 0;
    return { anyhow, early: nearness(at) - later };
  };
}
type Ticks = Parameters<typeof barAt>[1];
