/** Moves the feet of a plan to where they like to move: on beats, near the need, with time for themselves. */

import { type Ticks, ticks } from '../base/units';
import { type Move, type PlannedPassage } from '../harp/planned';
import { PEDALS, positionOf } from '../harp/setting';
import { stringOf } from '../harp/strings';
import { beatTicks } from '../music/metre';
import type { Letter } from '../music/pitch';
import { DEFAULT_FOOT_TIMES, HARD_SPACING, comfortableTime } from '../pedals/foot-times';
import type { Clock } from './reduce-clock';
import { sweepNotes } from './reduce-ways';

interface Use {
  readonly onset: number;
  readonly until: number;
  readonly alter: number;
}

/** When each letter is needed, and in which position; strings without discs need no pedal. */
function usesOf(planned: PlannedPassage): Map<Letter, Use[]> {
  const out = new Map<Letter, Use[]>(PEDALS.map((letter) => [letter, []]));
  const { passage, instrument } = planned;
  for (const p of passage.plucks) {
    if (instrument.discless.includes(stringOf(p.pitch))) continue;
    out.get(p.pitch.letter)?.push({ onset: p.onset, until: p.onset, alter: p.pitch.alter });
  }
  for (const t of passage.trembles) {
    for (const n of t.notes) {
      out.get(n.pitch.letter)?.push({ onset: t.onset, until: t.onset + t.duration, alter: n.pitch.alter });
    }
  }
  for (const s of passage.sweeps) {
    for (const n of sweepNotes(s)) {
      if (instrument.discless.includes(stringOf(n.pitch))) continue;
      out.get(n.pitch.letter)?.push({ onset: s.onset, until: n.until, alter: n.pitch.alter });
    }
  }
  for (const list of out.values()) list.sort((a, b) => a.onset - b.onset);
  return out;
}

interface Wanted extends Move {
  readonly release: number;
  readonly need: number;
}

/** The fewest moves for the spellings of a plan: a pedal moves only where two needs of its letter differ. */
function wanted(planned: PlannedPassage): Wanted[] {
  const out: Wanted[] = [];
  const given = new Map<Letter, Move[]>();
  for (const m of planned.moves) given.set(m.letter, [...(given.get(m.letter) ?? []), m]);
  for (const [letter, uses] of usesOf(planned)) {
    let last = -1;
    let stands: number = positionOf(planned.start, letter);
    const moves = given.get(letter) ?? [];
    for (const use of uses) {
      if (use.alter !== stands) {
        // The instant that the search found lies between the two needs; it is what is always possible.
        const made = moves.filter((m) => m.onset > last && m.onset <= use.onset);
        const move = made.find((m) => m.to === use.alter) ?? made.at(-1);
        if (move !== undefined) {
          out.push({
            ...move,
            from: stands as Move['from'],
            to: use.alter as Move['to'],
            release: last + 1,
            need: use.onset,
          });
        }
        stands = use.alter;
      }
      last = Math.max(last, use.until);
    }
  }
  return out.sort((a, b) => a.need - b.need || a.onset - b.onset);
}

/** Points of an instant: before the need with time to stand, on a beat, near, and away from the foot's other moves. */
function points(
  at: number,
  move: Wanted,
  others: readonly Wanted[],
  clock: Clock,
  beat: number,
  start: number,
): number {
  const us = clock.microsAt(ticks(at));
  const ahead = clock.microsAt(ticks(move.need)) - us;
  let out = ahead < DEFAULT_FOOT_TIMES.settle ? 30 : 0;
  // The string that rang last with the old position is given time to fade.
  const since = us - clock.microsAt(ticks(move.release));
  out += since < 250_000 ? 6 : 0;
  const phase = (at - start) % beat;
  out += phase === 0 ? 0 : phase * 2 === beat ? 2 : 5;
  out += Math.min(12, Math.floor(ahead / 700_000));
  for (const o of others) {
    const gap = Math.abs(clock.microsAt(o.onset) - us);
    if (gap < HARD_SPACING) return Infinity;
    if (gap < comfortableTime(DEFAULT_FOOT_TIMES, o.letter, move.letter, Math.abs(move.to - move.from)))
      out += 12;
  }
  return out;
}

/**
 * The same plan with its moves at better instants, and those gone that nothing needs any more. Every instant stays in
 * its window (from after the last need of the old position to the first of the new) and a hard spacing from its
 * foot's other moves. Preferences: common practice.
 */
export function placeMoves(planned: PlannedPassage, clock: Clock): PlannedPassage {
  const moves = wanted(planned);
  const feet = { left: [] as Wanted[], right: [] as Wanted[] };
  for (const m of moves) feet[m.foot].push(m);
  const { bars } = planned.passage;
  let b = 0;
  for (const own of [feet.left, feet.right]) {
    for (let i = 0; i < own.length; i++) {
      const move = own[i] as Wanted;
      while (b + 1 < bars.length && (bars[b + 1]?.start ?? 0) <= move.need) b++;
      while (b > 0 && (bars[b]?.start ?? 0) > move.need) b--;
      const bar = bars[b];
      if (bar === undefined) continue;
      const beat = beatTicks(bar.metre);
      const half = beat >> 1;
      const near = [...own.slice(Math.max(0, i - 4), i), ...own.slice(i + 1, i + 6)];
      const candidates = new Set<number>([move.onset, move.need]);
      const lead = clock.ticksAfter(
        Math.max(0, clock.microsAt(ticks(move.need)) - DEFAULT_FOOT_TIMES.settle) - 20_000,
      );
      candidates.add(lead);
      for (let k = 0; k < 8; k++) {
        candidates.add(bar.start + (Math.floor((move.need - bar.start) / half) - k) * half);
      }
      let best: { at: number; cost: number } | null = null;
      for (const at of candidates) {
        if (at < Math.max(0, move.release) || at > move.need) continue;
        const cost = points(at, move, near, clock, beat, bar.start);
        if (cost < Infinity && (best === null || cost < best.cost)) best = { at, cost };
      }
      if (best !== null) own[i] = { ...move, onset: best.at as Ticks };
    }
  }
  const placed = [...feet.left, ...feet.right].map(({ onset, letter, from, to, foot }): Move => ({
    onset,
    letter,
    from,
    to,
    foot,
  }));
  placed.sort((x, y) => x.onset - y.onset || PEDALS.indexOf(x.letter) - PEDALS.indexOf(y.letter));
  return { ...planned, moves: placed };
}

/** A pedal word for two feet at once is read with more care than two in a row: this long before is a moment of its own. */
const PARTED_US = 400_000;

/**
 * The same plan with moves of both feet that fell on one instant parted, where one of them can come a beat or half a
 * beat earlier: after the last need of its old position, and with time for its foot. Others stay as they were.
 */
export function partPairs(planned: PlannedPassage, clock: Clock): PlannedPassage {
  const { bars } = planned.passage;
  const windows = new Map(wanted(planned).map((w) => [`${w.letter} ${w.onset}`, w]));
  const moves = [...planned.moves];
  let b = 0;
  for (const [i, move] of planned.moves.entries()) {
    const pair = moves.findIndex((m, k) => k !== i && m.onset === move.onset && m.foot !== move.foot);
    if (pair < 0) continue;
    while (b + 1 < bars.length && (bars[b + 1]?.start ?? 0) <= move.onset) b++;
    const bar = bars[b];
    const window = windows.get(`${move.letter} ${move.onset}`);
    if (bar === undefined || window === undefined) continue;
    const half = beatTicks(bar.metre) >> 1;
    const earlier = [1, 2, 3, 4].map(
      (k) => bar.start + (Math.ceil((move.onset - bar.start) / half) - k) * half,
    );
    const at = earlier.find((tick) => {
      if (tick < Math.max(0, window.release)) return false;
      const us = clock.microsAt(ticks(tick));
      if (us - clock.microsAt(ticks(Math.max(0, window.release - 1))) < PARTED_US) return false;
      return moves.every((m, k) => {
        if (k === i) return true;
        const gap = Math.abs(clock.microsAt(m.onset) - us);
        return m.foot === move.foot
          ? gap >= comfortableTime(DEFAULT_FOOT_TIMES, m.letter, move.letter, Math.abs(move.to - move.from))
          : gap >= PARTED_US;
      });
    });
    if (at !== undefined) moves[i] = { ...move, onset: at as Ticks };
  }
  moves.sort((x, y) => x.onset - y.onset || PEDALS.indexOf(x.letter) - PEDALS.indexOf(y.letter));
  return { ...planned, moves };
}
