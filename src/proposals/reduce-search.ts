/** The search of a reduction: bar by bar, which rewrites, which hands, which pedals, for the least loss and trouble. */

import type { Ticks } from '../base/units';
import type { Instrument } from '../harp/instrument';
import { midiOf } from '../music/pitch';
import type { Bar } from '../music/metre';
import type { Pluck, Roll, Sweep, Tremble } from '../music/passage';
import type { Difficulty, Rewrite, Role } from '../reduction/types';
import { type HandCourse, type HandTrail, RESTING, playBar } from './reduce-hands';
import type { Clock } from './reduce-clock';
import { FREE_PEDALS, type PedalCourse, type PedalTrail, pedalBar } from './reduce-pedals';
import { type PedalStop, type Tuning, sweepNotes } from './reduce-ways';

/** How much trouble counts against loss: hands and pedals. */
const WISH: Readonly<Record<Difficulty, { readonly hands: number; readonly pedals: number }>> = {
  faithful: { hands: 1, pedals: 1 },
  idiomatic: { hands: 2, pedals: 3 },
  easy: { hands: 5, pedals: 4 },
};
/** Readings of the part that are kept from bar to bar. */
const BEAM = 2;
/** Points by which another reading may be dearer and still be followed: what a few pedal moves cost. */
const NEAR = 40;
/** Rewrites tried in one bar, for each reading: keeps the time in proportion to the bars. */
const TRIALS = 8;

/** One bar of the part with what its rules propose. */
export interface BarInput {
  readonly bar: Bar;
  readonly plucks: readonly Pluck[];
  readonly trembles: readonly Tremble[];
  readonly sweeps: readonly Sweep[];
  readonly rewrites: readonly Rewrite[];
}

export interface SearchInput {
  readonly bars: readonly BarInput[];
  readonly rolls: readonly Roll[];
  readonly roles: ReadonlyMap<string, Role>;
  readonly difficulty: Difficulty;
  readonly instrument: Instrument;
  readonly clock: Clock;
  readonly tuning: Tuning;
  /** Notes whose loss was refused. */
  readonly guarded: ReadonlySet<string>;
  /** Onsets whose exchange of hands was refused, and those whose roll was. */
  readonly keptHands: (at: Ticks) => boolean;
  readonly unrolled: ReadonlySet<number>;
}

export interface BarResult {
  readonly rewrites: readonly Rewrite[];
  readonly plucks: readonly Pluck[];
  readonly trembles: readonly Tremble[];
  readonly sweeps: readonly Sweep[];
}

interface Reading {
  readonly cost: number;
  readonly hands: HandCourse;
  readonly pedals: readonly PedalCourse[];
  readonly result: BarResult | null;
  readonly from: Reading | null;
}

/** A refused loss weighs this much more. */
export const GUARD = 20;
const UNKNOWN_WORTH = 40;

/** What a note's absence, displacement or delay costs. */
function lossOf(before: Pluck, after: Pluck | undefined, worth: number): number {
  if (after === undefined) return worth;
  if (after.onset !== before.onset) return Math.floor((worth * 3) / 4);
  const apart = midiOf(after.pitch) - midiOf(before.pitch);
  if (apart === 0) return 0;
  return apart % 12 === 0 ? worth >> 1 : worth;
}

/** The plucks and trembles of a bar under a choice of rewrites, and what the choice itself costs. */
export function applyRewrites(
  input: BarInput,
  chosen: readonly Rewrite[],
  worth: (id: string) => number,
  difficulty: Difficulty,
): BarResult & { readonly loss: number } {
  let plucks = [...input.plucks];
  let trembles = [...input.trembles];
  let loss = 0;
  for (const r of chosen) {
    const gone = new Set(r.remove);
    const added = new Map(r.add.map((p) => [p.id, p]));
    for (const t of r.trembles ?? []) {
      for (const n of t.notes) {
        const before = plucks.find((p) => p.id === n.id);
        if (before !== undefined) added.set(n.id, { ...before, pitch: n.pitch });
      }
    }
    for (const p of plucks) if (gone.has(p.id)) loss += lossOf(p, added.get(p.id), worth(p.id));
    loss -= r.ease[difficulty];
    plucks = [...plucks.filter((p) => !gone.has(p.id)), ...r.add];
    trembles = [...trembles.filter((t) => !gone.has(t.id)), ...(r.trembles ?? [])];
  }
  if (chosen.length > 0) plucks.sort((a, b) => a.onset - b.onset || midiOf(a.pitch) - midiOf(b.pitch));
  const sweeps = [...input.sweeps, ...chosen.flatMap((r) => r.sweeps ?? [])];
  return { rewrites: chosen, plucks, trembles, sweeps, loss };
}

type Applied = ReturnType<typeof applyRewrites>;

/** Two rewrites that touch one note exclude each other. */
export function compatible(a: Rewrite, b: Rewrite): boolean {
  if (a.code === b.code && a.id === b.id) return false;
  const touched = new Set([...a.remove, ...a.add.map((p) => p.id)]);
  return !b.remove.some((id) => touched.has(id)) && !b.add.some((p) => touched.has(p.id));
}

function stopsOf(
  result: BarResult,
  dropped: ReadonlySet<string>,
  worth: (id: string) => number,
): PedalStop[] {
  const at = new Map<Ticks, PedalStop['notes'][number][]>();
  const put = (onset: Ticks, note: PedalStop['notes'][number]): void => {
    const list = at.get(onset);
    if (list === undefined) at.set(onset, [note]);
    else list.push(note);
  };
  for (const p of result.plucks) {
    if (dropped.has(p.id)) continue;
    put(p.onset, { id: p.id, pitch: p.pitch, fixed: p.fixed === true, worth: worth(p.id), until: p.onset });
  }
  for (const t of result.trembles) {
    for (const n of t.notes) {
      const until = t.onset + t.duration;
      put(t.onset, { id: n.id, pitch: n.pitch, fixed: n.fixed === true, worth: worth(n.id), until });
    }
  }
  for (const s of result.sweeps) for (const note of sweepNotes(s)) put(s.onset, note);
  return [...at].sort(([a], [b]) => a - b).map(([onset, notes]) => ({ onset, notes }));
}

/** Dropped by the hands since `before`. */
function droppedSince(course: HandCourse, before: HandCourse): Set<string> {
  const out = new Set<string>();
  for (let c = course; c !== before; c = c.from as HandCourse) {
    for (const id of c.choice?.dropped ?? []) out.add(id);
    if (c.from === null) break;
  }
  return out;
}

const cheapest = (courses: readonly PedalCourse[]): number =>
  courses.reduce((m, c) => Math.min(m, c.cost), Infinity);

/** Reads the whole part; `progress` is told after every bar and may stop the search by answering false. */
export function searchReduction(
  input: SearchInput,
  progress: (done: number, of: number) => boolean,
): { readonly bars: readonly BarResult[]; readonly hands: HandCourse; readonly pedals: PedalCourse } | null {
  const wish = WISH[input.difficulty];
  const worth = (id: string): number =>
    (input.roles.get(id)?.worth ?? UNKNOWN_WORTH) * (input.guarded.has(id) ? GUARD : 1);
  const rolled = new Set(input.rolls.filter((r) => r.direction !== 'none').flatMap((r) => r.plucks));

  const applied = (bar: BarInput, chosen: readonly Rewrite[]): Applied =>
    applyRewrites(bar, chosen, worth, input.difficulty);
  const read = (
    from: Reading,
    applied: Applied,
    trails: { readonly hands: HandTrail; readonly pedals: PedalTrail },
  ): Reading => {
    const chosen = applied.rewrites;
    const inRoll = new Set([...rolled, ...chosen.flatMap((r) => (r.rolls ?? []).flatMap((x) => x.plucks))]);
    const hands = playBar(
      from.hands,
      {
        plucks: applied.plucks,
        rolled: chosen.some((r) => r.rolls !== undefined) ? inRoll : rolled,
        worth,
        microsAt: (at) => input.clock.microsAt(at),
        ease: wish.hands,
        keptHands: input.keptHands,
        unrolled: input.unrolled,
      },
      trails.hands,
    );
    const stops = stopsOf(applied, droppedSince(hands, from.hands), worth);
    const pedals = pedalBar(
      from.pedals,
      stops,
      input.clock,
      input.instrument,
      input.tuning,
      wish.pedals,
      trails.pedals,
    );
    const cost =
      from.cost + applied.loss + (hands.cost - from.hands.cost) + (cheapest(pedals) - cheapest(from.pedals));
    return { cost, hands, pedals, result: applied, from };
  };

  let readings: Reading[] = [{ cost: 0, hands: RESTING, pedals: [FREE_PEDALS], result: null, from: null }];
  for (const [index, bar] of input.bars.entries()) {
    const next: Reading[] = [];
    for (const from of readings) {
      let chosen: Rewrite[] = [];
      const trails = { hands: { steps: [] }, pedals: { steps: [] } };
      let now = read(from, applied(bar, chosen), trails);
      next.push(now);
      let trials = 0;
      for (const rewrite of bar.rewrites) {
        if (trials === TRIALS) break;
        if (!chosen.every((c) => compatible(c, rewrite))) continue;
        const tried = applied(bar, [...chosen, rewrite]);
        // Hands and pedals add nothing below nought: what costs this much by itself cannot win.
        if (from.cost + tried.loss >= now.cost) continue;
        trials++;
        const trial = read(from, tried, trails);
        next.push(trial);
        if (trial.cost >= now.cost) continue;
        chosen = [...chosen, rewrite];
        now = trial;
      }
    }
    next.sort((a, b) => a.cost - b.cost);
    const least = next[0] as Reading;
    readings = next.slice(0, BEAM).filter((r) => r.cost <= least.cost + NEAR);
    if (!progress(index + 1, input.bars.length)) return null;
  }
  const best = readings[0] as Reading;
  const bars: BarResult[] = [];
  for (let r: Reading = best; r.result !== null; r = r.from as Reading) bars.push(r.result);
  const pedals = best.pedals.reduce((a, b) => (b.cost < a.cost ? b : a));
  return { bars: bars.reverse(), hands: best.hands, pedals };
}
