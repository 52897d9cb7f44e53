/** Instants for pedal moves whose order of positions is given by the notes: each in its window, each foot in turn. */

import type { Micros, Ticks } from '../base/units';
import { ticks } from '../base/units';
import { type Foot, PEDALS, type Position, footOf } from '../harp/setting';
import { type Bar, barAt, beatTicks } from '../music/metre';
import type { Letter } from '../music/pitch';
import { DEFAULT_FOOT_TIMES, FEET, HARD_SPACING, comfortableTime } from '../pedals/foot-times';
import type { Move } from '../harp/planned';

/** A change of one pedal, free from the last note that needs the old position to the first that needs the new. */
export interface Change {
  readonly letter: Letter;
  readonly from: Position;
  readonly to: Position;
  readonly earliest: Ticks;
  readonly latest: Ticks;
}

/** Ticks and time, with the caches that make asking cheap. */
export interface Clock {
  microsAt(at: Ticks): Micros;
  ticksAt(time: Micros): Ticks;
}

/** Orders kept after each move: at most four pedals of a foot wait at a time, so few differ. */
const KEPT = 16;

interface State {
  /** How many moves of each pedal of the foot are done, in the order of PEDALS. */
  readonly done: readonly number[];
  readonly last: number;
  readonly change: Change | null;
  readonly from: State | null;
}

/** The first tick not before a time. */
function tickFrom(clock: Clock, time: number): Ticks {
  const at = clock.ticksAt(time as Micros);
  return clock.microsAt(at) < time ? ticks(at + 1) : at;
}

/**
 * The order in which a foot takes its changes so that each stands in its window and 0.25 s lie between: a search
 * that keeps the best orders. Where none fits, the most urgent goes on at the end of its window, and what is
 * measured afterwards shows that it cannot be done.
 */
function orderOf(queues: readonly (readonly Change[])[], clock: Clock): Change[] {
  const total = queues.reduce((sum, q) => sum + q.length, 0);
  let states: State[] = [{ done: queues.map(() => 0), last: -Infinity, change: null, from: null }];
  for (let k = 0; k < total; k++) {
    const next = new Map<string, State>();
    let urgent: { readonly state: State; readonly due: number } | null = null;
    for (const state of states) {
      queues.forEach((queue, i) => {
        const change = queue[state.done[i] as number];
        if (change === undefined) return;
        const due = clock.microsAt(change.latest);
        const at = Math.max(state.last + HARD_SPACING, clock.microsAt(change.earliest));
        const done = state.done.map((n, j) => (j === i ? n + 1 : n));
        const late = at > due;
        const after: State = { done, last: late ? due : at, change, from: state };
        if (late) {
          if (urgent === null || due < urgent.due) urgent = { state: after, due };
          return;
        }
        const key = done.join(' ');
        const rival = next.get(key);
        if (rival === undefined || after.last < rival.last) next.set(key, after);
      });
    }
    // An order in which something that waits has missed its end is no order.
    const alive = [...next.values()].filter((state) =>
      queues.every((queue, i) => {
        const waiting = queue[state.done[i] as number];
        return waiting === undefined || clock.microsAt(waiting.latest) >= state.last + HARD_SPACING;
      }),
    );
    const found = urgent as { readonly state: State } | null;
    if (alive.length > 0) states = alive.sort((a, b) => a.last - b.last).slice(0, KEPT);
    else if (found !== null) states = [found.state];
    else states = [...next.values()].sort((a, b) => a.last - b.last).slice(0, 1);
  }
  const out: Change[] = [];
  for (let s: State | null = states[0] ?? null; s !== null; s = s.from)
    if (s.change !== null) out.push(s.change);
  return out.reverse();
}

/** The latest felt beat in a stretch that lies before its end, or null. */
function beatIn(bars: readonly Bar[], from: Ticks, to: Ticks): Ticks | null {
  if (bars.length === 0) return null;
  const before = ticks(Math.max(0, to - 1));
  const bar = barAt(bars, before);
  const beat = beatTicks(bar.metre);
  const at = bar.start + Math.floor((before - bar.start) / beat) * beat;
  return at >= from && at < to ? ticks(at) : null;
}

/** Instants for changes in a given order: comfortably apart where their windows let them, on a beat where one is free. */
function place(changes: readonly Change[], clock: Clock, bars: readonly Bar[]): Move[] {
  const comfort = changes.map((c, i) => {
    const before = changes[i - 1];
    return before === undefined
      ? 0
      : comfortableTime(DEFAULT_FOOT_TIMES, before.letter, c.letter, Math.abs(c.to - c.from));
  });
  // The latest instants that leave the moves after them comfortable, and those that leave them possible.
  const easy: number[] = [];
  const hard: number[] = [];
  for (let i = changes.length - 1; i >= 0; i--) {
    const end = clock.microsAt((changes[i] as Change).latest);
    const last = i === changes.length - 1;
    easy[i] = last ? end : Math.min(end, (easy[i + 1] as number) - (comfort[i + 1] as number));
    hard[i] = last ? end : Math.min(end, (hard[i + 1] as number) - HARD_SPACING);
  }
  const moves: Move[] = [];
  let previous = -Infinity;
  changes.forEach((change, i) => {
    const opens = clock.microsAt(change.earliest);
    const ends = clock.microsAt(change.latest);
    const wish = Math.max(opens, previous + (comfort[i] as number));
    const latest = Math.max(opens, Math.min(ends, hard[i] as number));
    const least = Math.max(opens, previous + HARD_SPACING);
    const time = wish <= latest ? wish : Math.min(ends, Math.max(least, latest));
    let onset = ticks(Math.min(change.latest, Math.max(change.earliest, tickFrom(clock, time))));
    if (time === wish && (easy[i] as number) > time) {
      const until = ticks(Math.min(change.latest, clock.ticksAt(easy[i] as number as Micros)));
      onset = beatIn(bars, onset, until) ?? onset;
    }
    moves.push({
      onset,
      letter: change.letter,
      from: change.from,
      to: change.to,
      foot: footOf(change.letter),
    });
    previous = clock.microsAt(onset);
  });
  return moves;
}

/** Moves for changes, sorted by onset; `changes` of one letter in order of time. */
export function scheduleFeet(changes: readonly Change[], clock: Clock, bars: readonly Bar[]): Move[] {
  const byFoot = (foot: Foot): Move[] => {
    const queues = PEDALS.filter((letter) => footOf(letter) === foot).map((letter) =>
      changes.filter((c) => c.letter === letter),
    );
    return place(orderOf(queues, clock), clock, bars);
  };
  return FEET.flatMap(byFoot).sort((a, b) => a.onset - b.onset);
}
