/** Pedals for one bar of a reduction: spellings and moves that two feet can follow, and what they cannot reach. */

import { type Ticks, ticks } from '../base/units';
import type { Instrument } from '../harp/instrument';
import type { Move } from '../harp/planned';
import { PEDALS, type Position, footOf, pedalIndex } from '../harp/setting';
import { stringOf } from '../harp/strings';
import { type Letter, type Pitch, harpSpellings, midiOf } from '../music/pitch';
import { DEFAULT_FOOT_TIMES, HARD_SPACING } from '../pedals/foot-times';

/** Points (the scale of reduction/roles.ts). */
const COST = {
  move: 12,
  second: 3,
  respelt: 1,
  hasty: 5,
  /** A pedal that cannot stand its time before the next pluck. */
  unsettled: 25,
} as const;
/** Courses kept. */
const BEAM = 16;
/** Ways of spelling one instant that are followed, for each course. */
const WAYS = 4;

export interface PedalNote {
  readonly id: string;
  readonly pitch: Pitch;
  readonly fixed: boolean;
  readonly worth: number;
  /** Pedals stay until this tick: trembles. */
  readonly until: number;
}
export interface PedalStop {
  readonly onset: Ticks;
  readonly notes: readonly PedalNote[];
}

/** Pedals and feet, and how they came there. */
export interface PedalCourse {
  readonly cost: number;
  /** In the order of PEDALS; null while free. */
  readonly stand: readonly (Position | null)[];
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
  used: [-1, -1, -1, -1, -1, -1, -1],
  feet: { left: [], right: [] },
  moves: [],
  spelt: [],
  dropped: [],
  from: null,
};

/** Notes of one pitch at an instant, spelt together. */
interface Group {
  readonly ids: readonly string[];
  readonly worth: number;
  readonly ways: readonly { readonly pitch: Pitch; readonly price: number }[];
  readonly until: number;
}

function groupsOf(stop: PedalStop, instrument: Instrument): Group[] {
  const out = new Map<string, PedalNote[]>();
  for (const n of stop.notes) {
    // A pitch on two strings at once keeps both: each of its spellings is a group of its own.
    const key = n.fixed ? `${n.pitch.letter}${n.pitch.alter} ${n.pitch.octave}` : String(midiOf(n.pitch));
    const list = out.get(key);
    if (list === undefined) out.set(key, [n]);
    else list.push(n);
  }
  return [...out.values()].map((notes) => {
    const first = notes[0] as PedalNote;
    const ways = first.fixed ? [first.pitch] : harpSpellings(midiOf(first.pitch));
    const inside = ways.filter((p) => {
      const s = stringOf(p);
      return s >= instrument.lowest && s <= instrument.highest;
    });
    return {
      ids: notes.map((n) => n.id),
      worth: notes.reduce((s, n) => s + n.worth, 0),
      until: Math.max(...notes.map((n) => n.until)),
      ways: inside.map((pitch) => ({
        pitch,
        price:
          pitch.letter === first.pitch.letter && pitch.alter === first.pitch.alter
            ? 0
            : COST.respelt * notes.length,
      })),
    };
  });
}

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

export interface Clock {
  microsAt(at: Ticks): number;
  /** The first tick whose time is not before `us`. */
  ticksAfter(us: number): number;
}

interface Way {
  readonly cost: number;
  readonly picks: readonly (Pitch | null)[];
}

/** The cheapest ways to spell an instant, by moves asked alone; a group may be left out at its worth. */
function waysOf(
  course: PedalCourse,
  groups: readonly Group[],
  discless: readonly number[],
  weight: number,
): Way[] {
  const found: Way[] = [];
  const picks: (Pitch | null)[] = [];
  const asked: (Position | null)[] = [null, null, null, null, null, null, null];
  const strings = new Set<number>();
  const worst = (): number => (found.length < WAYS ? Infinity : (found.at(-1) as Way).cost);
  const walk = (i: number, cost: number): void => {
    if (cost >= worst()) return;
    const group = groups[i];
    if (group === undefined) {
      found.push({ cost, picks: [...picks] });
      found.sort((a, b) => a.cost - b.cost);
      if (found.length > WAYS) found.pop();
      return;
    }
    for (const { pitch, price } of group.ways) {
      const s = stringOf(pitch);
      if (strings.has(s)) continue;
      if (discless.includes(s)) {
        if (pitch.alter !== 0) continue;
        picks.push(pitch);
        walk(i + 1, cost + price);
        picks.pop();
        continue;
      }
      const p = pedalIndex(pitch.letter);
      const before = asked[p] as Position | null;
      if (before !== null && before !== pitch.alter) continue;
      const stands = course.stand[p] as Position | null;
      const move =
        before === null && stands !== null && stands !== pitch.alter
          ? weight * (COST.move + (Math.abs(stands - pitch.alter) - 1) * COST.second)
          : 0;
      asked[p] = pitch.alter as Position;
      strings.add(s);
      picks.push(pitch);
      walk(i + 1, cost + price + move);
      picks.pop();
      strings.delete(s);
      asked[p] = before;
    }
    picks.push(null);
    walk(i + 1, cost + group.worth);
    picks.pop();
  };
  walk(0, 0);
  return found;
}

/** The course after an instant spelt this way; null where the feet cannot be there. */
function step(
  course: PedalCourse,
  stop: PedalStop,
  groups: readonly Group[],
  way: Way,
  clock: Clock,
  discless: readonly number[],
  weight: number,
): PedalCourse | null {
  const stand = [...course.stand];
  const used = [...course.used];
  const spelt: [string, Pitch][] = [];
  const dropped: string[] = [];
  const needs: { letter: Letter; to: Position; release: number }[] = [];
  let cost = course.cost;
  groups.forEach((group, i) => {
    const pitch = way.picks[i] as Pitch | null;
    if (pitch === null) {
      dropped.push(...group.ids);
      cost += group.worth;
      return;
    }
    for (const id of group.ids) spelt.push([id, pitch]);
    cost += group.ways.find((w) => w.pitch === pitch)?.price ?? 0;
    if (discless.includes(stringOf(pitch))) return;
    const p = pedalIndex(pitch.letter);
    const stands = stand[p] as Position | null;
    if (stands !== null && stands !== pitch.alter && !needs.some((n) => n.letter === pitch.letter)) {
      needs.push({ letter: pitch.letter, to: pitch.alter as Position, release: (used[p] as number) + 1 });
    }
    stand[p] = pitch.alter as Position;
    used[p] = Math.max(used[p] as number, stop.onset, group.until);
  });
  const feet: { left: Feet['left']; right: Feet['right'] } = { ...course.feet };
  const moves: Move[] = [];
  needs.sort((a, b) => a.release - b.release || pedalIndex(a.letter) - pedalIndex(b.letter));
  for (const { letter, to, release } of needs) {
    const foot = footOf(letter);
    const found = slot(feet[foot], Math.max(0, release), stop.onset, clock);
    if (found === null) return null;
    const from = course.stand[pedalIndex(letter)] as Position;
    moves.push({ onset: ticks(found.tick), letter, from, to, foot });
    const near = feet[foot].some((i) => Math.abs(i.us - found.us) < DEFAULT_FOOT_TIMES.neighbour);
    const late = clock.microsAt(stop.onset) - clock.microsAt(ticks(release)) < DEFAULT_FOOT_TIMES.settle;
    cost +=
      weight *
      (COST.move +
        (Math.abs(to - from) - 1) * COST.second +
        (near ? COST.hasty : 0) +
        (late ? COST.unsettled : 0));
    feet[foot] = [...feet[foot], found].sort((a, b) => a.us - b.us).slice(-8);
  }
  return { cost, stand, used, feet, moves, spelt, dropped, from: course };
}

const keyOf = (c: PedalCourse): string =>
  `${c.stand.join()}|${c.feet.left.at(-1)?.tick ?? ''}|${c.feet.right.at(-1)?.tick ?? ''}`;

function prune(courses: readonly PedalCourse[]): PedalCourse[] {
  const seen = new Set<string>();
  const out: PedalCourse[] = [];
  for (const c of [...courses].sort((a, b) => a.cost - b.cost)) {
    const key = keyOf(c);
    if (seen.has(key)) continue;
    seen.add(key);
    out.push(c);
    if (out.length === BEAM) break;
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
  weight: number,
  trail: PedalTrail = { steps: [] },
): PedalCourse[] {
  let courses = [...from];
  const steps: PedalTrail['steps'] = [];
  let same = true;
  for (const stop of stops) {
    const known = same ? trail.steps[steps.length] : undefined;
    if (known !== undefined && alike(known.stop, stop)) {
      courses = known.courses;
      steps.push(known);
      continue;
    }
    same = false;
    const groups = groupsOf(stop, instrument);
    const next: PedalCourse[] = [];
    for (const course of courses) {
      let some = false;
      for (const way of waysOf(course, groups, instrument.discless, weight)) {
        const after = step(course, stop, groups, way, clock, instrument.discless, weight);
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
        const after = waysOf(course, rest, instrument.discless, weight).flatMap(
          (way) => step(course, stop, rest, way, clock, instrument.discless, weight) ?? [],
        );
        if (after.length === 0) continue;
        next.push(...after);
        break;
      }
    }
    courses = prune(next);
    steps.push({ stop, courses });
  }
  trail.steps = steps;
  return courses;
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
