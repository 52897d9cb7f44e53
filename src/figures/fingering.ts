/** Fingers for a planned passage: the cheapest fingering of each hand, exactly, by dynamic programming. */

import type { PlannedPassage } from '../harp/planned';
import { stringOf } from '../harp/strings';
import type { Finger, Hand, Pluck } from '../music/passage';
import { tempoMap } from '../music/tempo';
import { type Fingers, type Place, shapeCost, stepCost, waysToFinger } from './fingering-costs';

/** One onset of one hand: its plucks by string, and the ways it may be fingered. */
interface Onset extends Place {
  readonly plucks: readonly (readonly Pluck[])[];
  readonly ways: readonly Fingers[];
}

/** Placed groups are at most four notes long. */
const LENGTHS = 4;

/** Ways that keep the fingers already given; all ways where none does. */
function openWays(plucks: readonly (readonly Pluck[])[]): readonly Fingers[] {
  const all = waysToFinger(plucks.length);
  if (!plucks.some((same) => same.some((p) => p.finger !== null))) return all;
  const kept = all.filter((way) =>
    plucks.every((same, i) => same.every((p) => p.finger === null || p.finger === way[i])),
  );
  return kept.length > 0 ? kept : all;
}

function onsetsOf(planned: PlannedPassage, hand: Hand): Onset[] {
  const map = tempoMap(planned.passage.tempo);
  const groups = new Map<number, Pluck[]>();
  for (const p of planned.passage.plucks) {
    if (p.hand !== hand) continue;
    const list = groups.get(p.onset);
    if (list === undefined) groups.set(p.onset, [p]);
    else list.push(p);
  }
  let last: number | null = null;
  return [...groups]
    .sort(([a], [b]) => a - b)
    .map(([onset, list]) => {
      const at = map.microsAt(onset as Pluck['onset']);
      const since = last === null ? 0 : at - last;
      last = at;
      const byString = new Map<number, Pluck[]>();
      for (const p of list) {
        const string = stringOf(p.pitch);
        const same = byString.get(string);
        if (same === undefined) byString.set(string, [p]);
        else same.push(p);
      }
      const sorted = [...byString].sort(([a], [b]) => a - b);
      const plucks = sorted.map(([, same]) => same);
      return { since, strings: sorted.map(([string]) => string), plucks, ways: openWays(plucks) };
    });
}

const only = (onset: Onset): number => onset.strings[0] as number;

/** First string of a placed group that ends, `length` notes long, at onset `i`. */
const groupStart = (onsets: readonly Onset[], i: number, length: number): number =>
  only(onsets[i - length + 1] as Onset);

const directionAt = (onsets: readonly Onset[], i: number): number =>
  i === 0 ? 0 : Math.sign(only(onsets[i] as Onset) - only(onsets[i - 1] as Onset));

/**
 * The cheapest way for each onset. A state is a way and the length of the placed group that ends with it, so the
 * answer is exact; of equal fingerings the first in the order of ways wins. Time grows with the number of onsets.
 */
function cheapest(onsets: readonly Onset[]): Fingers[] {
  const backs: Int16Array[] = [];
  let costs: number[] = [];
  onsets.forEach((b, i) => {
    const next = new Array<number>(b.ways.length * LENGTHS).fill(Infinity);
    const back = new Int16Array(next.length).fill(-1);
    const a = onsets[i - 1];
    b.ways.forEach((way, w) => {
      const shape = shapeCost(b.strings, way);
      if (a === undefined) {
        next[w * LENGTHS] = shape;
        return;
      }
      const direction = directionAt(onsets, i - 1);
      for (let state = 0; state < costs.length; state++) {
        const before = costs[state] as number;
        if (before === Infinity) continue;
        const length = (state % LENGTHS) + 1;
        const start = groupStart(onsets, i - 1, length);
        const from = a.ways[Math.floor(state / LENGTHS)] as Fingers;
        const step = stepCost(a, from, length, start, direction, b, way);
        const slot = w * LENGTHS + step.length - 1;
        const cost = before + step.cost + shape;
        if (cost < (next[slot] as number)) {
          next[slot] = cost;
          back[slot] = state;
        }
      }
    });
    costs = next;
    backs.push(back);
  });
  let state = 0;
  for (let k = 1; k < costs.length; k++) if ((costs[k] as number) < (costs[state] as number)) state = k;
  const out: Fingers[] = [];
  for (let i = onsets.length - 1; i >= 0; i--) {
    out.push((onsets[i] as Onset).ways[Math.floor(state / LENGTHS)] as Fingers);
    state = (backs[i] as Int16Array)[state] as number;
  }
  return out.reverse();
}

/** Points of a given fingering of one hand: what `finger` makes least. */
function priceOf(onsets: readonly Onset[], fingers: readonly Fingers[]): number {
  let [cost, length] = [0, 1];
  onsets.forEach((b, i) => {
    cost += shapeCost(b.strings, fingers[i] as Fingers);
    const a = onsets[i - 1];
    if (a === undefined) return;
    const start = groupStart(onsets, i - 1, length);
    const direction = directionAt(onsets, i - 1);
    const step = stepCost(a, fingers[i - 1] as Fingers, length, start, direction, b, fingers[i] as Fingers);
    cost += step.cost;
    length = step.length;
  });
  return cost;
}

/**
 * The passage with a finger 1–4 for every pluck that has a hand: the cheapest fingering of each hand by the points
 * of `fingering-costs`, found exactly. Chords are fingered from the thumb on top down; runs fall into placed groups
 * of up to four in one direction, connected by the thumb passing over or a finger under it. Fingers already given
 * stay where a way of the chord allows them. Plucks without a hand are left as they are.
 */
export function finger(planned: PlannedPassage): PlannedPassage {
  const fingers = new Map<string, Finger>();
  for (const hand of ['R', 'L'] as const) {
    const onsets = onsetsOf(planned, hand);
    cheapest(onsets).forEach((way, i) => {
      (onsets[i] as Onset).plucks.forEach((same, k) => {
        for (const p of same) fingers.set(p.id, way[k] as Finger);
      });
    });
  }
  const plucks = planned.passage.plucks.map((p) => {
    const given = fingers.get(p.id);
    return given === undefined || given === p.finger ? p : { ...p, finger: given };
  });
  return { ...planned, passage: { ...planned.passage, plucks } };
}

/** Points of the fingers in a passage; every pluck with a hand must have one. Lower is easier; 0 for no plucks. */
export function fingeringCost(planned: PlannedPassage): number {
  let cost = 0;
  for (const hand of ['R', 'L'] as const) {
    const onsets = onsetsOf(planned, hand);
    const given = onsets.map((o) => o.plucks.map((same) => same[0]?.finger ?? 4));
    cost += priceOf(onsets, given);
  }
  return cost;
}
