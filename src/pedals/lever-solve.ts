/** The exact search of the lever planner: labels of levers, left hand and cost, from stop to stop. */

import { type Ticks, micros } from '../base/units';
import type { StringIndex } from '../harp/strings';
import type { Passage } from '../music/passage';
import { type TempoMap, tempoMap } from '../music/tempo';
import { type LeverStop, type LeverWay, leftHandTimes } from './lever-stops';
import type { Lever, LeverMove, LeverOptions } from './lever-types';

/** Labels kept at a stop; fewer once as many have been made as take some seconds. */
const WORK_LIMIT = 2_000;
const MADE_LIMIT = 100_000;
const KEPT_AFTER = 50;
/** Labels made for one stop before the dearer ones of the stop before are left. */
const GROWN_LIMIT = 15_000;
/** Levers that may be moved or left between two stops: with more, only those due first are thought of. */
const OPEN_LIMIT = 10;
/** A respelt note never outweighs a move. */
export const MOVE = 1_000_000;

/** A plan so far: levers as far as they are known, when the left hand is free, and whence. */
export interface Label {
  /** Strings without an entry have not been needed yet: their lever may have stood either way all along. */
  readonly levers: ReadonlyMap<StringIndex, Lever>;
  /** Strings that a sweep or tremble holds, and until when. */
  readonly holds: LeverWay['holds'];
  /** The left hand's last deed, in microseconds. */
  readonly clock: number;
  readonly cost: number;
  readonly way: LeverWay | null;
  readonly moves: readonly LeverMove[];
  readonly from: Label | null;
}

const keyOf = ({ levers, holds }: Label): string =>
  [...levers]
    .sort((a, b) => a[0] - b[0])
    .map(([s, l]) => `${s}${l === 1 ? '+' : '-'}${holds.get(s) ?? ''}`)
    .join(' ');

/** Labels that no other of the same levers beats in both cost and clock; the cheapest `most`. */
function undominated(labels: readonly Label[], most: number): { kept: Label[]; cut: boolean } {
  const byKey = new Map<string, Label[]>();
  for (const label of [...labels].sort((a, b) => a.cost - b.cost || a.clock - b.clock)) {
    const key = keyOf(label);
    const others = byKey.get(key) ?? [];
    if (others.some((o) => o.cost <= label.cost && o.clock <= label.clock)) continue;
    byKey.set(key, [...others, label]);
  }
  const kept = [...byKey.values()].flat().sort((a, b) => a.cost - b.cost || a.clock - b.clock);
  return { kept: kept.slice(0, most), cut: kept.length > most };
}

/** For each stop and string: the next stop that uses it, which positions it may want there, and whether it must. */
interface NextUse {
  readonly stop: number;
  readonly wants: ReadonlySet<Lever>;
  /** Every way of that stop uses the string. */
  readonly always: boolean;
}
function nextUses(stops: readonly LeverStop[]): Map<StringIndex, NextUse>[] {
  const out: Map<StringIndex, NextUse>[] = [];
  let after = new Map<StringIndex, NextUse>();
  for (let i = stops.length - 1; i >= 0; i--) {
    const { ways } = stops[i] as LeverStop;
    const here = new Map(after);
    for (const string of new Set(ways.flatMap((w) => [...w.needs.keys()]))) {
      const wants = new Set(ways.flatMap((w) => w.needs.get(string) ?? []));
      const always = ways.every((w) => w.needs.has(string));
      const later = after.get(string);
      // Where a way passes the string by, what it is wanted for afterwards counts too.
      for (const lever of always ? [] : (later?.wants ?? [])) wants.add(lever);
      here.set(string, { stop: i, wants, always });
    }
    out[i] = here;
    after = here;
  }
  return out;
}

/** Earliest tick that is not before a time. */
function tickFrom(map: TempoMap, at: number): number {
  const tick = map.ticksAt(micros(Math.ceil(at)));
  return map.microsAt(tick) >= at ? tick : tick + 1;
}

/** Subsets of the levers that may move now: of those that must move, only the first due (an exchange proves it). */
function choices(must: readonly StringIndex[], may: readonly StringIndex[], most: number): StringIndex[][] {
  const out: StringIndex[][] = [];
  for (let n = 0; n <= Math.min(must.length, most); n++) {
    const first = must.slice(0, n);
    let sets: StringIndex[][] = [first];
    for (const s of may) sets = [...sets, ...sets.filter((x) => x.length < most).map((x) => [...x, s])];
    out.push(...sets);
  }
  return out;
}

/** An answer, whether the limit on work left something out of it, and the labels that were made for it. */
export type Solved = { readonly cut: boolean; readonly made: number } & (
  | { readonly label: Label }
  /** A stop that no plan reaches: one that nothing serves, or else the first. */
  | { readonly failing: number }
);

/** What holds between two stops. */
interface Gap {
  readonly from: number;
  readonly stop: LeverStop;
  readonly next: ReadonlyMap<StringIndex, NextUse>;
  readonly map: TempoMap;
  readonly options: LeverOptions;
}

const other = (label: Label, string: StringIndex): Lever => (label.levers.get(string) === 1 ? 0 : 1);

/** Strings that are wanted the other way sooner or later, the first due first. */
function wanted(label: Label, { next }: Gap): StringIndex[] {
  return [...label.levers.keys()]
    .filter((s) => next.get(s)?.wants.has(other(label, s)) === true)
    .sort((x, y) => (next.get(x) as NextUse).stop - (next.get(y) as NextUse).stop || x - y);
}

function moved(label: Label, moves: readonly LeverMove[], clock: number): Label {
  return {
    levers:
      moves.length === 0
        ? label.levers
        : new Map([...label.levers, ...moves.map((m) => [m.string, m.to] as const)]),
    holds: label.holds,
    clock,
    cost: label.cost + MOVE * moves.length,
    way: null,
    moves,
    from: label,
  };
}

/** A label after each set of moves that the next stop asks for: without time a move can always wait until then. */
function movesUntimed(label: Label, gap: Gap): Label[] {
  const due = wanted(label, gap).filter((s) => gap.stop.ways.some((w) => w.needs.get(s) === other(label, s)));
  return choices([], due, due.length).map((set) =>
    moved(
      label,
      set.map((string) => ({ onset: gap.stop.onset, string, to: other(label, string) })),
      label.clock,
    ),
  );
}

/** A label after each set of moves that can be made after the stop before and not later than the next; whether all. */
function movesTimed(label: Label, gap: Gap): { readonly after: Label[]; readonly cut: boolean } {
  const { stop, next, map, options } = gap;
  const { reach, back } = options.times;
  const until = (s: StringIndex): number => label.holds.get(s) ?? 0;
  const open = wanted(label, gap).filter((s) => until(s) <= stop.onset);
  const isHeld = (s: StringIndex): boolean => until(s) > gap.from;
  const forced = (s: StringIndex): boolean => {
    const use = next.get(s) as NextUse;
    return use.always && use.wants.size === 1 && !isHeld(s);
  };
  const last = stop.onset as number;
  /** Each as early as it can be, those that are held until later last; null where they do not fit. */
  const place = (set: readonly StringIndex[]): Label | null => {
    const order = [...set].sort((x, y) => Math.max(gap.from, until(x)) - Math.max(gap.from, until(y)));
    let { clock } = label;
    const moves: LeverMove[] = [];
    for (const string of order) {
      const earliest = Math.max(gap.from, until(string));
      const at = Math.max(earliest, tickFrom(map, clock + reach));
      if (at > last) return null;
      moves.push({ onset: at as Ticks, string, to: other(label, string) });
      clock = map.microsAt(at as Ticks) + back;
    }
    return moved(label, moves, clock);
  };
  let fit = 0;
  while (fit < open.length && place(open.slice(0, fit + 1).filter((s) => !isHeld(s))) !== null) fit++;
  const may = open.filter((s) => !forced(s));
  const after = choices(open.filter(forced), may.slice(0, OPEN_LIMIT), open.length)
    .filter((set) => set.filter((s) => !isHeld(s)).length <= fit)
    .flatMap((set) => place(set) ?? []);
  return { after, cut: may.length > OPEN_LIMIT };
}

/** The cheapest plan; with `timed` false the left hand needs no time at all. */
export function solveLevers(
  stops: readonly LeverStop[],
  passage: Passage,
  options: LeverOptions,
  timed: boolean,
): Solved {
  const silent = stops.findIndex((stop) => stop.ways.length === 0);
  if (silent >= 0) return { failing: silent, cut: false, made: 0 };
  const map = tempoMap(passage.tempo);
  const busy = timed ? leftHandTimes(passage) : [];
  const next = nextUses(stops);
  const most = options.workLimit ?? WORK_LIMIT;
  const up = new Set(options.start ?? []);
  const levers = new Map<StringIndex, Lever>();
  if (options.start !== null)
    for (const string of next[0]?.keys() ?? []) levers.set(string, up.has(string) ? 1 : 0);
  let labels: Label[] = [
    { levers, holds: new Map(), clock: -options.times.reach, cost: 0, way: null, moves: [], from: null },
  ];
  let [cut, b, made] = [false, 0, 0];
  for (const [i, stop] of stops.entries()) {
    const from = stops[i - 1]?.onset ?? 0;
    const gap: Gap = { from, stop, next: next[i] as Gap['next'], map, options };
    // The left hand plays here: back from its last lever, and free again after what it does.
    const now = map.microsAt(stop.onset);
    let deed = -Infinity;
    while (b < busy.length && (busy[b] as { from: Ticks }).from <= stop.onset) {
      deed = Math.max(deed, map.microsAt((busy[b] as { to: Ticks }).to));
      b++;
    }
    const grown: Label[] = [];
    for (const label of labels) {
      if (grown.length > GROWN_LIMIT) {
        cut = true;
        break;
      }
      const ways = timed ? movesTimed(label, gap) : { after: movesUntimed(label, gap), cut: false };
      cut ||= ways.cut;
      for (const after of ways.after) {
        if (deed >= now && after.clock > now) continue;
        const clock = Math.max(after.clock, deed);
        for (const way of stop.ways) {
          if ([...way.needs].some(([s, l]) => (after.levers.get(s) ?? l) !== l)) continue;
          made++;
          const still = [...after.holds].filter(([, end]) => end > stop.onset);
          grown.push({
            ...after,
            clock,
            cost: after.cost + way.respelt,
            way,
            levers: new Map([...after.levers, ...way.needs]),
            holds: new Map([...still, ...way.holds]),
          });
        }
      }
    }
    const { kept, cut: some } = undominated(grown, made > MADE_LIMIT ? Math.min(most, KEPT_AFTER) : most);
    if (kept.length === 0) return { failing: i, cut, made };
    cut ||= some;
    labels = kept;
  }
  return { label: labels[0] as Label, cut, made };
}

/** Labels from the first to the last. */
export function pathOf(last: Label): Label[] {
  const out: Label[] = [];
  for (let l: Label | null = last; l !== null; l = l.from) out.push(l);
  return out.reverse();
}
