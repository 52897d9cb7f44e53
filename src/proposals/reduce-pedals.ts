/** Pedals for one bar of a reduction: spellings and moves that two feet can follow, and what they cannot reach. */

import { ticks } from '../base/units';
import type { Instrument } from '../harp/instrument';
import type { Move } from '../harp/planned';
import { PEDALS, type Position, footOf, pedalIndex } from '../harp/setting';
import { stringOf } from '../harp/strings';
import type { Letter, Pitch } from '../music/pitch';
import { DEFAULT_FOOT_TIMES, HARD_SPACING } from '../pedals/foot-times';
import type { Clock } from './reduce-clock';
import { COST, type Group, type PedalStop, type Tuning, type Way, groupsOf, waysOf } from './reduce-ways';

/** Courses kept. */
const BEAM = 12;
/** Pedals and feet, and how they came there. */
export interface PedalCourse {
  readonly cost: number;
  /** In the order of PEDALS; null while free. */
  readonly stand: readonly (Position | null)[];
  /** The same in two bits a pedal; three while free. */
  readonly code: number;
  /** Last tick at which each pedal was needed; -1 before the first. */
  readonly used: readonly number[];
  /** Instants of each foot's last moves, ascending. */
  readonly feet: Readonly<
    Record<'left' | 'right', readonly { readonly tick: number; readonly us: number }[]>
  >;
  readonly moves: readonly Move[];
  readonly spelt: readonly (readonly [id: string, pitch: Pitch])[];
  readonly dropped: readonly string[];
  readonly from: PedalCourse | null;
}

export const FREE_PEDALS: PedalCourse = {
  cost: 0,
  stand: [null, null, null, null, null, null, null],
  code: (1 << 14) - 1,
  used: [-1, -1, -1, -1, -1, -1, -1],
  feet: { left: [], right: [] },
  moves: [],
  spelt: [],
  dropped: [],
  from: null,
};

type Feet = PedalCourse['feet'];

/** The first instant of a foot from `release` on that lies a hard spacing from its other instants; null if too late. */
function slot(
  instants: readonly { readonly tick: number; readonly us: number }[],
  release: number,
  need: number,
  clock: Clock,
): { tick: number; us: number } | null {
  let tick = release;
  let us = clock.microsAt(ticks(tick));
  for (const i of instants) {
    if (us + HARD_SPACING <= i.us) break;
    if (us < i.us + HARD_SPACING) {
      us = i.us + HARD_SPACING;
      tick = clock.ticksAfter(us);
      us = clock.microsAt(ticks(tick));
    }
    if (tick > need) return null;
  }
  return tick > need ? null : { tick, us };
}

/** Moves of both feet within so long that a player does not mind; each one more costs more than the last. */
const CALM = 1;
const CROWD_US = 2_000_000;

/** Moves of a foot near an instant. */
function within(instants: Feet['left'], us: number): number {
  let n = 0;
  for (const i of instants) if (Math.abs(i.us - us) < CROWD_US) n++;
  return n;
}

/** A course after an instant, weighed before it is written down. */
interface Draft {
  readonly cost: number;
  readonly from: PedalCourse;
  readonly groups: readonly Group[];
  readonly way: Way;
  readonly feet: Feet;
  readonly moves: readonly Move[];
  readonly key: string;
}

interface Need {
  readonly pedal: number;
  readonly to: Position;
  readonly release: number;
}

const NO_MOVES: readonly Move[] = [];

/** What the feet have to do for an instant spelt this way; and the key of the pedals after it. */
function needsOf(
  course: PedalCourse,
  way: Way,
  tuning: Tuning,
): { readonly needs: Need[]; readonly stand: number } {
  const needs: Need[] = [];
  let stand = course.code;
  for (const pitch of way.picks) {
    if (pitch === null || tuning.has(stringOf(pitch))) continue;
    const pedal = pedalIndex(pitch.letter);
    const stands = course.stand[pedal] as Position | null;
    if (stands === pitch.alter) continue;
    const shift = 2 * pedal;
    stand = (stand & ~(3 << shift)) | ((pitch.alter + 1) << shift);
    if (stands === null || needs.some((n) => n.pedal === pedal)) continue;
    needs.push({ pedal, to: pitch.alter as Position, release: (course.used[pedal] as number) + 1 });
  }
  return { needs, stand };
}

/** The course after an instant spelt this way, in draft; null where the feet cannot be there. */
function step(
  course: PedalCourse,
  stop: PedalStop,
  groups: readonly Group[],
  way: Way,
  clock: Clock,
  tuning: Tuning,
  weight: number,
): Draft | null {
  const { needs, stand } = needsOf(course, way, tuning);
  // The price of the way holds the moves themselves; how they fit the feet is added.
  let cost = course.cost + way.cost;
  let { feet } = course;
  let moves = NO_MOVES;
  if (needs.length > 0) {
    const made: Move[] = [];
    const now: { left: Feet['left']; right: Feet['right'] } = { ...feet };
    needs.sort((a, b) => a.release - b.release || a.pedal - b.pedal);
    for (const { pedal, to, release } of needs) {
      const letter = PEDALS[pedal] as Letter;
      const foot = footOf(letter);
      const found = slot(now[foot], Math.max(0, release), stop.onset, clock);
      if (found === null) return null;
      made.push({ onset: ticks(found.tick), letter, from: course.stand[pedal] as Position, to, foot });
      const near = now[foot].some((i) => Math.abs(i.us - found.us) < DEFAULT_FOOT_TIMES.neighbour);
      const late = clock.microsAt(stop.onset) - clock.microsAt(ticks(release)) < DEFAULT_FOOT_TIMES.settle;
      const busy = within(now.left, found.us) + within(now.right, found.us) - CALM;
      cost +=
        weight * ((near ? COST.hasty : 0) + (late ? COST.unsettled : 0) + Math.max(0, busy) * COST.crowd);
      now[foot] = [...now[foot], found].sort((a, b) => a.us - b.us).slice(-8);
    }
    feet = now;
    moves = made;
  }
  const key = `${stand}|${feet.left.at(-1)?.tick ?? ''}|${feet.right.at(-1)?.tick ?? ''}`;
  return { cost, from: course, groups, way, feet, moves, key };
}

/** A draft written down. */
function courseOf(draft: Draft, stop: PedalStop, tuning: Tuning): PedalCourse {
  const { cost, from, groups, way, feet, moves } = draft;
  const stand = [...from.stand];
  const used = [...from.used];
  let { code } = from;
  const spelt: [string, Pitch][] = [];
  const dropped: string[] = [];
  groups.forEach((group, i) => {
    const pitch = way.picks[i] as Pitch | null;
    if (pitch === null) {
      dropped.push(...group.ids);
      return;
    }
    for (const id of group.ids) spelt.push([id, pitch]);
    if (tuning.has(stringOf(pitch))) return;
    const p = pedalIndex(pitch.letter);
    stand[p] = pitch.alter as Position;
    code = (code & ~(3 << (2 * p))) | ((pitch.alter + 1) << (2 * p));
    used[p] = Math.max(used[p] as number, stop.onset, group.until);
  });
  return { cost, stand, code, used, feet, moves, spelt, dropped, from };
}

function prune(drafts: Draft[], stop: PedalStop, tuning: Tuning, most: number): PedalCourse[] {
  const seen = new Set<string>();
  const out: PedalCourse[] = [];
  drafts.sort((a, b) => a.cost - b.cost);
  for (const d of drafts) {
    if (seen.has(d.key)) continue;
    seen.add(d.key);
    out.push(courseOf(d, stop, tuning));
    if (out.length === most) break;
  }
  return out;
}

/** What was found through the stops of a bar: another reading of it that begins alike goes on from there. */
export interface PedalTrail {
  steps: { readonly stop: PedalStop; readonly courses: PedalCourse[] }[];
}

const alike = (a: PedalStop, b: PedalStop): boolean =>
  a.onset === b.onset &&
  a.notes.length === b.notes.length &&
  a.notes.every((n, i) => {
    const m = b.notes[i];
    return n.id === m?.id && n.pitch === m.pitch && n.fixed === m.fixed && n.until === m.until;
  });

/**
 * The cheapest courses of the pedals through a bar, from those before it. Moves are placed as soon as their pedal is
 * released, in any gap of their foot of at least 0.25 s (MODEL.md of the pedals); a note whose pedal cannot be there
 * is dropped at its worth. `weight` is how much moves count against what is lost. `trail` is that of
 * an earlier reading from the same courses, and is brought up to this one.
 */
export function pedalBar(
  from: readonly PedalCourse[],
  stops: readonly PedalStop[],
  clock: Clock,
  instrument: Instrument,
  tuning: Tuning,
  weight: number,
  trail: PedalTrail = { steps: [] },
  most: number = BEAM,
): PedalCourse[] {
  let courses = [...from];
  const steps: PedalTrail['steps'] = [];
  let same = true;
  for (const stop of stops) {
    const before = same ? trail.steps[steps.length] : undefined;
    if (before !== undefined && alike(before.stop, stop)) {
      courses = before.courses;
      steps.push(before);
      continue;
    }
    same = false;
    const groups = groupsOf(stop, instrument);
    const next: Draft[] = [];
    const known = new Map<number, Way[]>();
    for (const course of courses) {
      let some = false;
      // Courses that stand alike differ in their feet alone.
      let ways = known.get(course.code);
      if (ways === undefined) known.set(course.code, (ways = waysOf(course.stand, groups, tuning, weight)));
      for (const way of ways) {
        const after = step(course, stop, groups, way, clock, tuning, weight);
        if (after === null) continue;
        some = true;
        next.push(after);
      }
      if (some) continue;
      // No cheap way: leave groups out one by one, the least first, until the feet can follow.
      const order = groups
        .map((_, i) => i)
        .sort((a, b) => (groups[a] as Group).worth - (groups[b] as Group).worth);
      const gone = new Set<number>();
      for (const i of order) {
        gone.add(i);
        const rest = groups.map((g, j) => (gone.has(j) ? { ...g, ways: [] } : g));
        const after = waysOf(course.stand, rest, tuning, weight).flatMap(
          (way) => step(course, stop, rest, way, clock, tuning, weight) ?? [],
        );
        if (after.length === 0) continue;
        next.push(...after);
        break;
      }
    }
    courses = prune(next, stop, tuning, most);
    steps.push({ stop, courses });
  }
  trail.steps = steps;
  return courses;
}

/** Pedals that stand in a setting before the first note. */
export function pedalsAt(positions: readonly Position[]): PedalCourse {
  const code = positions.reduce((sum: number, p, i) => sum | ((p + 1) << (2 * i)), 0);
  return { ...FREE_PEDALS, stand: positions, code };
}

/** Everything that led to a course, in order of time. */
export function pedalHistory(last: PedalCourse): {
  readonly moves: readonly Move[];
  readonly spelt: ReadonlyMap<string, Pitch>;
  readonly dropped: readonly string[];
  readonly start: readonly Position[];
} {
  const moves: Move[] = [];
  const spelt = new Map<string, Pitch>();
  const dropped: string[] = [];
  for (let c: PedalCourse | null = last; c !== null; c = c.from) {
    moves.push(...c.moves);
    for (const [id, pitch] of c.spelt) spelt.set(id, pitch);
    dropped.push(...c.dropped);
  }
  moves.sort((a, b) => a.onset - b.onset || pedalIndex(a.letter) - pedalIndex(b.letter));
  const start = PEDALS.map((letter, i) => {
    const first = moves.find((m) => m.letter === letter);
    return first?.from ?? last.stand[i] ?? 0;
  });
  return { moves, spelt, dropped, start };
}
