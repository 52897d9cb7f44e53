/** Two feet in time: an order for each foot, then the best instants in the windows. */

import type { Ticks } from '../base/units';
import { type Bar, barAt, beatTicks } from '../music/metre';
import type { Move } from '../harp/planned';
import { type Foot, pedalIndex } from '../harp/setting';
import type { Clock } from './clock';
import { FEET, PLACING, comfortableTime, leastTime } from './foot-times';
import type { FootTimes } from './types';
import type { Job } from './windows';

export interface ScheduleFrame {
  readonly clock: Clock;
  readonly bars: readonly Bar[];
  readonly times: FootTimes;
}

/** A job with the instants between which it can lie without pushing another of its foot out of its window. */
interface Slot extends Job {
  readonly earliest: number;
  readonly latest: number;
}

/** Jobs of one foot in an order in which each meets its window, or null where neither order tried does. */
export function orderFoot(jobs: readonly Job[], frame: ScheduleFrame): Job[] | null {
  const byNeed = [...jobs].sort(
    (a, b) => a.due - b.due || a.release - b.release || pedalIndex(a.letter) - pedalIndex(b.letter),
  );
  if (slotsOf(byNeed, frame) !== null) return byNeed;
  const gap = leastTime(frame.times);
  const byRelease = [...byNeed].sort((a, b) => a.release - b.release);
  const ready: Job[] = [];
  const out: Job[] = [];
  let [next, now] = [0, Number.NEGATIVE_INFINITY];
  while (out.length < jobs.length) {
    if (ready.length === 0) now = Math.max(now, (byRelease[next] as Job).release);
    while (next < byRelease.length && (byRelease[next] as Job).release <= now)
      ready.push(byRelease[next++] as Job);
    let best = 0;
    for (let i = 1; i < ready.length; i++) if ((ready[i] as Job).due < (ready[best] as Job).due) best = i;
    const job = ready.splice(best, 1)[0] as Job;
    if (now > job.due) return null;
    out.push(job);
    now = frame.clock.after(now, gap);
  }
  return out;
}

/** Earliest and latest instants of jobs taken in the order given; null where one cannot be met. */
function slotsOf(jobs: readonly Job[], { clock, times }: ScheduleFrame): Slot[] | null {
  const gap = leastTime(times);
  const earliest: number[] = [];
  let free = Number.NEGATIVE_INFINITY;
  for (const job of jobs) {
    const at = Math.max(job.release, free);
    if (at > job.due) return null;
    earliest.push(at);
    free = clock.after(at, gap);
  }
  const out: Slot[] = [];
  let limit = Number.POSITIVE_INFINITY;
  for (let i = jobs.length - 1; i >= 0; i--) {
    const job = jobs[i] as Job;
    const latest = Math.min(job.due, limit);
    out.push({ ...job, earliest: earliest[i] as number, latest });
    limit = clock.before(latest, gap);
  }
  return out.reverse();
}

interface Candidate {
  readonly at: number;
  readonly micros: number;
  readonly price: number;
}

/**
 * Ten-thousandths of a point. A missed settling time outweighs a gesture saved; the rest chooses among instants of
 * equal price: a stable beat, then a half beat; near the need but not in the last half beat; not while the string
 * has just been plucked.
 */
const FINE = {
  point: 10_000,
  short: 90_000,
  offBeat: 150,
  offHalf: 250,
  ahead: 20,
  late: 60,
  plucked: 120,
} as const;
/** Instants farther ahead of need than this many beats are not looked at, unless nothing nearer will do. */
const BEATS_AHEAD = 4;

function candidatesOf(slot: Slot, frame: ScheduleFrame, other: readonly number[]): Candidate[] {
  const { clock, bars, times } = frame;
  const ticks = new Set<number>([slot.latest, slot.earliest]);
  const add = (t: number): void => {
    if (t >= slot.earliest && t <= slot.latest) ticks.add(t);
  };
  const settled = clock.before(slot.due, times.settle);
  const calm = clock.after(slot.release, times.settle);
  add(settled);
  add(calm);
  for (const gap of [times.neighbour, times.reach, times.reach + times.secondPosition]) {
    add(clock.before(settled, gap));
    add(clock.before(slot.due, gap));
    add(clock.after(slot.earliest, gap));
  }
  const beat = bars.length === 0 ? 3360 : beatTicks(barAt(bars, slot.due).metre);
  const half = beat / 2;
  const origin = bars.length === 0 ? 0 : barAt(bars, slot.due).start;
  const low = Math.max(slot.earliest, slot.due - BEATS_AHEAD * beat);
  for (let t = origin + Math.floor((slot.latest - origin) / half) * half; t >= low; t -= half) add(t);
  for (const t of other) if (t >= low) add(t);
  return [...ticks]
    .sort((a, b) => a - b)
    .map((at) => {
      const phase = (((at - origin) % beat) + beat) % beat;
      let price = phase === 0 ? 0 : phase === half ? FINE.offBeat : FINE.offHalf;
      price += FINE.ahead * Math.min(20, Math.floor((slot.due - at) / half));
      if (slot.awaited && at > settled) price += FINE.short;
      if (slot.due - at < half) price += FINE.late;
      if (at < calm) price += FINE.plucked;
      return { at, micros: clock.microsAt(at), price };
    });
}

/** The best instants for jobs in a given order, by dynamic programming over the candidates of each. */
function placeFoot(jobs: readonly Job[], frame: ScheduleFrame, other: readonly number[]): number[] | null {
  const slots = slotsOf(jobs, frame);
  if (slots === null) return null;
  const gap = leastTime(frame.times);
  const with_ = new Set(other);
  let before: { list: Candidate[]; total: number[] } | null = null;
  const lists: Candidate[][] = [];
  const links: number[][] = [];
  slots.forEach((slot, i) => {
    const near = other.filter((t) => t >= slot.earliest && t <= slot.latest);
    const list = candidatesOf(slot, frame, near);
    const own = list.map((c) => c.price + (with_.has(c.at) ? 0 : PLACING.gesture * FINE.point));
    const total: number[] = [];
    const link: number[] = [];
    const prior = slots[i - 1];
    list.forEach((candidate, k) => {
      let [best, from] = [Number.POSITIVE_INFINITY, -1];
      if (before === null || prior === undefined) best = 0;
      else {
        const comfort = comfortableTime(
          frame.times,
          prior.letter,
          slot.letter,
          Math.abs(slot.to - slot.from),
        );
        for (let j = 0; j < before.list.length; j++) {
          const distance = candidate.micros - (before.list[j] as Candidate).micros;
          if (distance < gap) break;
          const value = (before.total[j] as number) + (distance < comfort ? PLACING.hasty * FINE.point : 0);
          if (value < best) [best, from] = [value, j];
        }
      }
      total.push(best + (own[k] as number));
      link.push(from);
    });
    lists.push(list);
    links.push(link);
    before = { list, total };
  });
  if (before === null) return [];
  const last: { list: Candidate[]; total: number[] } = before;
  let k = last.total.reduce((best, value, j) => (value < (last.total[best] as number) ? j : best), 0);
  if (!Number.isFinite(last.total[k])) return null;
  const out: number[] = [];
  for (let i = lists.length - 1; i >= 0; i--) {
    out.push(((lists[i] as Candidate[])[k] as Candidate).at);
    k = (links[i] as number[])[k] as number;
  }
  return out.reverse();
}

/** Instants for ordered jobs of both feet, sorted moves; null where an order cannot be met. */
export function placeMoves(
  orders: Readonly<Record<Foot, readonly Job[]>>,
  frame: ScheduleFrame,
): Move[] | null {
  const instants: Record<Foot, number[]> = { left: [], right: [] };
  const rounds: readonly Foot[] =
    orders.left.length > 0 && orders.right.length > 0 ? ['left', 'right', 'left'] : FEET;
  for (const foot of rounds) {
    const placed = placeFoot(orders[foot], frame, instants[foot === 'left' ? 'right' : 'left']);
    if (placed === null) return null;
    instants[foot] = placed;
  }
  const moves = FEET.flatMap((foot) =>
    orders[foot].map((job, i): Move => ({
      onset: instants[foot][i] as number as Ticks,
      letter: job.letter,
      from: job.from,
      to: job.to,
      foot,
    })),
  );
  return moves.sort((a, b) => a.onset - b.onset || pedalIndex(a.letter) - pedalIndex(b.letter));
}

/** Orders and places jobs of both feet; null where the two orders that are tried both fail. */
export function scheduleMoves(jobs: readonly Job[], frame: ScheduleFrame): Move[] | null {
  const left = orderFoot(
    jobs.filter((j) => j.foot === 'left'),
    frame,
  );
  const right =
    left &&
    orderFoot(
      jobs.filter((j) => j.foot === 'right'),
      frame,
    );
  return left && right && placeMoves({ left, right }, frame);
}
