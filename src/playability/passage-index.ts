/** A planned passage laid out for the rules: strings, times, groups by onset, by hand, by string, by letter. */

import type { Micros, Ticks } from '../base/units';
import { ticks } from '../base/units';
import type { PlannedPassage } from '../harp/planned';
import { type StringIndex, stringOf } from '../harp/strings';
import type { Hand, Pluck, Roll, Sweep, Technique, Tremble } from '../music/passage';
import type { Letter, Pitch } from '../music/pitch';
import { tempoMap } from '../music/tempo';

/** One pluck with its string and its time. */
export interface Strike {
  readonly id: string;
  readonly onset: Ticks;
  /** Microseconds from the start. */
  readonly at: Micros;
  readonly string: StringIndex;
  readonly pitch: Pitch;
  readonly hand: Hand | null;
  readonly technique: Technique;
  /** Struck one after another, up or down. */
  readonly rolled: boolean;
  readonly pluck: Pluck;
}

/** Strikes of one onset, from the lowest string up. */
export interface Group {
  readonly onset: Ticks;
  readonly at: Micros;
  readonly strikes: readonly Strike[];
}

export interface PassageIndex {
  readonly strikes: readonly Strike[];
  readonly onsets: readonly Group[];
  readonly hands: Readonly<Record<Hand, readonly Group[]>>;
  /** Strikes of each string in order of time. */
  readonly byString: ReadonlyMap<StringIndex, readonly Strike[]>;
  readonly byLetter: ReadonlyMap<Letter, readonly Strike[]>;
  microsAt(at: Ticks): Micros;
}

/** The first of `count` positions that passes a test which, once passed, is passed from there on; `count` where none does. */
export function firstIndex(count: number, test: (i: number) => boolean): number {
  let [low, high] = [0, count];
  while (low < high) {
    const mid = (low + high) >> 1;
    if (test(mid)) high = mid;
    else low = mid + 1;
  }
  return low;
}

/** Groups (in order of time) whose onset is not before one tick and before another. */
export function groupsIn(groups: readonly Group[], from: number, to: number): readonly Group[] {
  const first = firstIndex(groups.length, (i) => (groups[i] as Group).onset >= from);
  const end = firstIndex(groups.length, (i) => (groups[i] as Group).onset >= to);
  return groups.slice(first, Math.max(first, end));
}

export const endOf = (event: Sweep | Tremble): Ticks => ticks(event.onset + event.duration);

/** Lowest and highest string of a group. */
export const lowOf = (g: Group): StringIndex => (g.strikes[0] as Strike).string;
export const highOf = (g: Group): StringIndex => (g.strikes.at(-1) as Strike).string;

/** The strings of a group without repetition, from low to high. */
export function stringsOf(strikes: readonly Strike[]): StringIndex[] {
  const out: StringIndex[] = [];
  for (const s of strikes) if (out.at(-1) !== s.string) out.push(s.string);
  return out;
}

function gather<K, V>(map: Map<K, V[]>, key: K, value: V): void {
  const list = map.get(key);
  if (list === undefined) map.set(key, [value]);
  else list.push(value);
}

function groupByOnset(strikes: readonly Strike[]): Group[] {
  const out: { onset: Ticks; at: Micros; strikes: Strike[] }[] = [];
  for (const s of strikes) {
    const last = out.at(-1);
    if (last !== undefined && last.onset === s.onset) last.strikes.push(s);
    else out.push({ onset: s.onset, at: s.at, strikes: [s] });
  }
  return out;
}

/** Lays a planned passage out; linear but for the sorting. */
export function indexPassage(planned: PlannedPassage): PassageIndex {
  const { plucks, rolls, tempo } = planned.passage;
  const map = tempoMap(tempo);
  const rolled = new Set<string>();
  for (const roll of rolls as readonly Roll[]) {
    if (roll.direction !== 'none') for (const id of roll.plucks) rolled.add(id);
  }
  const times = new Map<Ticks, Micros>();
  const microsAt = (at: Ticks): Micros => {
    let time = times.get(at);
    if (time === undefined) times.set(at, (time = map.microsAt(at)));
    return time;
  };
  const strikes = plucks.map((pluck): Strike => ({
    id: pluck.id,
    onset: pluck.onset,
    at: microsAt(pluck.onset),
    string: stringOf(pluck.pitch),
    pitch: pluck.pitch,
    hand: pluck.hand,
    technique: pluck.technique,
    rolled: rolled.has(pluck.id),
    pluck,
  }));
  strikes.sort((a, b) => a.onset - b.onset || a.string - b.string || a.pitch.alter - b.pitch.alter);
  const byString = new Map<StringIndex, Strike[]>();
  const byLetter = new Map<Letter, Strike[]>();
  for (const s of strikes) {
    gather(byString, s.string, s);
    gather(byLetter, s.pitch.letter, s);
  }
  return {
    strikes,
    onsets: groupByOnset(strikes),
    hands: {
      R: groupByOnset(strikes.filter((s) => s.hand === 'R')),
      L: groupByOnset(strikes.filter((s) => s.hand === 'L')),
    },
    byString,
    byLetter,
    microsAt,
  };
}
