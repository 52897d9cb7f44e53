/** Two feet in time: whether some order of each foot's moves meets every window. */

import { pedalIndex } from '../harp/setting';
import type { Clock } from './clock';
import { FEET } from './foot-times';
import type { Job } from './windows';

export interface ScheduleFrame {
  readonly clock: Clock;
  /** Least microseconds between two instants of one foot. */
  readonly gap: number;
}

/** Jobs of one foot in an order in which each meets its window, or null where neither order tried does. */
export function orderFoot(jobs: readonly Job[], frame: ScheduleFrame): Job[] | null {
  const byNeed = [...jobs].sort(
    (a, b) => a.due - b.due || a.release - b.release || pedalIndex(a.letter) - pedalIndex(b.letter),
  );
  if (fits(byNeed, frame)) return byNeed;
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
    now = frame.clock.after(now, frame.gap);
  }
  return out;
}

/** Whether jobs taken in the order given can all meet their windows. */
function fits(jobs: readonly Job[], { clock, gap }: ScheduleFrame): boolean {
  let free = Number.NEGATIVE_INFINITY;
  for (const job of jobs) {
    const at = Math.max(job.release, free);
    if (at > job.due) return false;
    free = clock.after(at, gap);
  }
  return true;
}

/** Whether one of the two orders tried serves both feet: enough for a plan, but not needed for one. */
export function canSchedule(jobs: readonly Job[], frame: ScheduleFrame): boolean {
  return FEET.every(
    (foot) =>
      orderFoot(
        jobs.filter((j) => j.foot === foot),
        frame,
      ) !== null,
  );
}
