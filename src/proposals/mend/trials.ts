/**
 * Every repair tried on the whole part before it is offered: the part is made with it, planned and judged by
 * `checkPart`, and the repair stays only where its errors are gone and no other has come. In a long part repairs that
 * lie far apart are tried together: it is judged as often as a place has offers, not as often as it has repairs.
 */

import type { Problem } from '../../base/problem';
import type { Instrument } from '../../harp/instrument';
import { barAt } from '../../music/metre';
import { type PartToCheck, checkPart } from '../check';
import { editPart, settled } from './edits';
import { faultKey, idsOf, onsetOf } from './faults';
import { onsetsById } from './twins';
import type { Edit, Mending, Repair } from './types';

/** Notes judged in all, at most: about five seconds; but the part at least so many times. */
const NOTES_JUDGED = 500_000;
const LEAST_TRIALS = 40;
/** Trials that one repair may take: in place of the first, by itself, with those near it. */
const TRIALS_EACH = 3;
/** Bars between repairs that are tried together. */
const APART_BARS = 6;
/** Bars within which repairs may need one another. */
const NEAR_BARS = 2;

export interface Tried {
  /** As they were given, without the repairs that failed and those that were not tried. */
  readonly mendings: readonly Mending[];
  /** Repairs that were not tried, because the part is long and has many; they are not offered. */
  readonly untried: number;
}

interface Item {
  readonly mending: number;
  readonly repair: Repair;
  /** Errors that must be gone. */
  readonly own: readonly Problem[];
  /** Bars from the first to the last that it is about. */
  readonly from: number;
  readonly to: number;
}

const severe = (problems: readonly Problem[]): Problem[] => problems.filter((p) => p.severity === 'error');
const editsOf = (r: Repair): readonly Edit[] => r.steps.flatMap((s) => s.edits);
const firstOf = (m: Mending): Repair => m.repairs[0] as Repair;

/** Errors by what they are and by the notes that they name. */
class Known {
  private readonly keys: ReadonlySet<string>;
  private readonly notes: ReadonlySet<string>;

  constructor(problems: readonly Problem[]) {
    this.keys = new Set(problems.map(faultKey));
    this.notes = new Set(problems.flatMap((p) => idsOf(p).map((id) => `${p.code} ${id}`)));
  }

  /** The same error, or what is left of it: the same rule, at one of the same notes. */
  has(p: Problem): boolean {
    return this.keys.has(faultKey(p)) || idsOf(p).some((id) => this.notes.has(`${p.code} ${id}`));
  }
}

class Trials {
  private judged = 0;
  private readonly most: number;
  /** Every repair can be tried by itself. */
  private readonly singly: boolean;
  private readonly onsets: ReadonlyMap<string, number>;

  constructor(
    private readonly ready: PartToCheck,
    private readonly instrument: Instrument,
    private readonly mendings: readonly Mending[],
  ) {
    const { plucks, trembles, sweeps } = ready.passage;
    const notes = plucks.length + trembles.length + sweeps.length;
    this.most = Math.max(LEAST_TRIALS, Math.floor(NOTES_JUDGED / Math.max(1, notes)));
    const repairs = mendings.reduce((sum, m) => sum + m.repairs.length, 0);
    this.singly = repairs * TRIALS_EACH <= this.most;
    this.onsets = onsetsById(ready.passage);
  }

  item(mending: number, repair: Repair): Item {
    const own = (this.mendings[mending] as Mending).problems;
    const edits = editsOf(repair);
    const named = [
      ...edits.flatMap((e) => ('id' in e ? [e.id] : 'ids' in e ? e.ids : [])),
      ...own.flatMap(idsOf),
    ];
    const times = edits.flatMap((e) =>
      e.kind === 'tempo' ? [e.from, e.to] : e.kind === 'opening' ? [0] : 'onset' in e ? [e.onset] : [],
    );
    const at = [repair.onset, ...times, ...named.flatMap((id) => this.onsets.get(id) ?? [])];
    const [from, to] = [this.barOf(Math.min(...at)), this.barOf(Math.max(...at))];
    return { mending, repair, own, from, to };
  }

  get spent(): boolean {
    return this.judged >= this.most;
  }
  get share(): number {
    return Math.min(1, this.judged / this.most);
  }

  barOf(onset: number): number {
    const { bars } = this.ready.passage;
    return bars.length === 0 ? 0 : barAt(bars, onset as Repair['onset']).index;
  }

  /** The errors of the part with these repairs, each place's in the order of the part. */
  errorsWith(repairs: ReadonlyMap<number, readonly Repair[]>): Problem[] {
    this.judged++;
    const edits = this.mendings.flatMap((_, i) => (repairs.get(i) ?? []).flatMap(editsOf));
    const part = edits.length === 0 ? this.ready : editPart(this.ready, settled(edits).edits);
    return severe(checkPart(part, this.instrument).problems);
  }

  /**
   * Those of these repairs, all far apart, with which the part is well: each is put into `base`, which answers with
   * the repairs of every place for the items given. Null for those that there was no more time for.
   */
  *hold(
    items: readonly Item[],
    base: (items: readonly Item[]) => ReadonlyMap<number, readonly Repair[]>,
    known: Known,
  ): Generator<number, ReadonlyMap<Item, boolean>> {
    const out = new Map<Item, boolean>();
    const queue: (readonly Item[])[] = [items];
    for (let open = queue.pop(); open !== undefined; open = queue.pop()) {
      if (open.length === 0) continue;
      if (this.spent) break;
      yield this.share;
      const errors = this.errorsWith(base(open));
      const failed = new Set(
        open.filter((item) => {
          const own = new Known(item.own);
          return errors.some((e) => own.has(e));
        }),
      );
      const fresh = errors.filter((e) => !known.has(e));
      const stray = fresh.filter((e) => {
        const bar = this.barOf(onsetOf(e));
        const near = open.find((x) => x.from - bar <= APART_BARS / 2 && bar - x.to <= APART_BARS / 2);
        if (near !== undefined) failed.add(near);
        return near === undefined;
      });
      if (failed.size === 0 && stray.length > 0) {
        // An error far from all of them: whose it is shows by halves.
        if (open.length === 1) out.set(open[0] as Item, false);
        else queue.push(open.slice(0, open.length >> 1), open.slice(open.length >> 1));
        continue;
      }
      for (const item of failed) out.set(item, false);
      if (failed.size > 0) queue.push(open.filter((item) => !failed.has(item)));
      else for (const item of open) out.set(item, true);
    }
    return out;
  }

  /** Items in as few lots as far apart ones can be put into, or one by one. */
  lots(items: readonly Item[]): Item[][] {
    if (this.singly) return items.map((item) => [item]);
    const lots: Item[][] = [];
    const ends: number[] = [];
    for (const item of [...items].sort((a, b) => a.from - b.from)) {
      let lot = ends.findIndex((end) => item.from - end >= APART_BARS);
      if (lot < 0) lot = lots.push([]) - 1;
      (lots[lot] as Item[]).push(item);
      ends[lot] = item.to;
    }
    return lots;
  }
}

/**
 * Tries every repair of these mendings, the first of which together leave `remaining`: in place of the first with the
 * firsts of all other places, then by itself. One that fails the first is not offered; one that fails only the second
 * names what it `needs`. Yields the share done.
 */
export function* tryInSteps(
  ready: PartToCheck,
  mendings: readonly Mending[],
  remaining: readonly Problem[],
  instrument: Instrument,
): Generator<number, Tried> {
  if (mendings.length === 0) return { mendings, untried: 0 };
  const trials = new Trials(ready, instrument, mendings);
  const firsts = new Map(mendings.map((m, i) => [i, [firstOf(m)] as readonly Repair[]]));
  const before = new Known(severe(checkPart(ready, instrument).problems));
  const after = new Known(remaining);
  const swapped = (items: readonly Item[]): ReadonlyMap<number, readonly Repair[]> =>
    new Map([...firsts, ...items.map((x) => [x.mending, [x.repair]] as const)]);
  const alone = (items: readonly Item[]): ReadonlyMap<number, readonly Repair[]> =>
    new Map(items.map((x) => [x.mending, [x.repair]]));
  const near = (x: Item): number[] =>
    mendings.flatMap((m, i) =>
      i !== x.mending && Math.abs(trials.barOf(m.onset) - trials.barOf(x.repair.onset)) <= NEAR_BARS
        ? [i]
        : [],
    );
  const withNear = (items: readonly Item[]): ReadonlyMap<number, readonly Repair[]> =>
    new Map([
      ...items.flatMap((x) => near(x).map((i) => [i, firsts.get(i) ?? []] as const)),
      ...alone(items),
    ]);

  const verdicts = new Map<Repair, { readonly needs: readonly string[] } | null>();
  const byRank = (rank: number): Item[] =>
    mendings.flatMap((m, i) => (m.repairs[rank] === undefined ? [] : [trials.item(i, m.repairs[rank])]));
  const most = Math.max(...mendings.map((m) => m.repairs.length));
  const othersOf = (x: Item): string[] =>
    mendings.flatMap((m, i) => (i === x.mending ? [] : [firstOf(m).id]));
  for (let rank = 0; rank < most; rank++) {
    for (const lot of trials.lots(byRank(rank))) {
      // The firsts are applied together, and what they leave is known.
      const together =
        rank === 0 ? new Map(lot.map((x) => [x, true])) : yield* trials.hold(lot, swapped, after);
      for (const [x, holds] of together) if (!holds) verdicts.set(x.repair, null);
      const good = lot.filter((x) => together.get(x) === true);
      const single = yield* trials.hold(good, alone, before);
      for (const [x, holds] of single) if (holds) verdicts.set(x.repair, { needs: [] });
      const bound = good.filter((x) => single.get(x) !== true);
      const some = bound.filter((x) => near(x).length > 0);
      const paired = yield* trials.hold(some, withNear, before);
      for (const x of bound) {
        const needs =
          paired.get(x) === true ? near(x).map((i) => firstOf(mendings[i] as Mending).id) : othersOf(x);
        verdicts.set(x.repair, { needs });
      }
    }
  }
  let untried = 0;
  const out = mendings.map((m) => ({
    ...m,
    repairs: m.repairs.flatMap((r): Repair[] => {
      const verdict = verdicts.get(r);
      if (verdict === undefined) untried++;
      return verdict === undefined || verdict === null ? [] : [{ ...r, needs: verdict.needs }];
    }),
  }));
  return { mendings: out, untried };
}
