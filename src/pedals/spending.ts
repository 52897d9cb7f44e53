/** Where the price of a plan is spent, told from the notes and moves alone: every term at its place. */

import type { Ticks } from '../base/units';
import type { Move, PlannedPassage } from '../harp/planned';
import { pedalIndex, positionOf } from '../harp/setting';
import { stringLetter, stringOf } from '../harp/strings';
import { barAt, beatTicks } from '../music/metre';
import type { Hand, Passage } from '../music/passage';
import { type Letter, type Pitch, diatonicIndex, midiOf } from '../music/pitch';
import { tempoMap } from '../music/tempo';
import { openSpellings } from './demands';
import { comfortableTime } from './foot-times';
import { inHarpKey } from './options';
import {
  BIG_ROLL,
  LEAP,
  REACH_WITHIN,
  ROLL_STEP,
  type Rates,
  TERMS,
  type TermName,
  ratesOf,
  ringSteps,
} from './rates';
import { type SpeltGroup, flipPrice, lettersOf, spellingPrice } from './reading';
import type { PedalPrice, PlanOptions } from './types';

/** Points of one term spent at one place. */
export interface Spending {
  readonly term: TermName;
  readonly onset: Ticks;
  readonly points: number;
  /** The move that costs it; absent for what the spelling of an onset costs. */
  readonly move?: Move;
  /** The notes spelt so; empty for a move. */
  readonly ids: readonly string[];
}

interface Strike {
  readonly string: number;
  readonly alter: number;
  readonly onset: number;
  /** From when it rings, or null where it is damped at once. */
  readonly rings: number | null;
}

/** Everything that some spelling of the passage strikes. */
function strikesOf(passage: Passage, options: PlanOptions): Strike[] {
  const out: Strike[] = [];
  const add = (pitches: readonly Pitch[], onset: number, rings: number | null): void => {
    for (const p of pitches) out.push({ string: stringOf(p), alter: p.alter, onset, rings });
  };
  const slid = new Set((passage.slides ?? []).map((s) => s.pluck));
  for (const p of passage.plucks) {
    const open = openSpellings(slid.has(p.id) ? { ...p, fixed: true } : p, options);
    add(open, p.onset, p.technique === 'etouffe' ? null : p.onset);
  }
  for (const t of passage.trembles)
    for (const n of t.notes) add(openSpellings(n, options), t.onset, t.onset + Math.max(1, t.duration));
  for (const s of passage.sweeps) {
    for (let string = Math.min(s.from, s.to); string <= Math.max(s.from, s.to); string++) {
      if (string < options.instrument.lowest || string > options.instrument.highest) continue;
      for (const alter of new Set(s.settings.map((x) => positionOf(x, stringLetter(string)))))
        out.push({ string, alter, onset: s.onset, rings: s.onset + Math.max(1, s.duration) });
    }
  }
  return out.filter((s) => !options.instrument.discless.includes(s.string)).sort((a, b) => a.onset - b.onset);
}

const listed = <K, V>(map: Map<K, V[]>, key: K): V[] => {
  const found = map.get(key);
  if (found !== undefined) return found;
  const made: V[] = [];
  map.set(key, made);
  return made;
};

/** Index of the first strike at a tick or later. */
function firstFrom(strikes: readonly Strike[], at: number): number {
  let [low, high] = [0, strikes.length];
  while (low < high) {
    const mid = (low + high) >> 1;
    if ((strikes[mid] as Strike).onset >= at) high = mid;
    else low = mid + 1;
  }
  return low;
}

/** Every point of a plan's price, moves in order, then onsets. `asked` is the passage before it was planned. */
export const spendingOf = (given: Passage, planned: PlannedPassage, options: PlanOptions): Spending[] =>
  spent(given, planned, options).spending;

interface Spent {
  readonly spending: Spending[];
  readonly gestures: number;
  readonly hasty: number;
}
function spent(given: Passage, planned: PlannedPassage, options: PlanOptions): Spent {
  const asked = options.fifths === undefined ? given : inHarpKey(given, options.fifths);
  const rates = ratesOf(options);
  const out: Spending[] = [];
  let [gestures, hasty] = [0, 0];
  const map = tempoMap(asked.tempo);
  const micros = (t: number): number => map.microsAt(t as Ticks);
  const spend = (term: TermName, points: number, move: Move): void => {
    if (points > 0) out.push({ term, onset: move.onset, points, move, ids: [] });
  };
  const strikes = strikesOf(asked, options);
  const byLetter = new Map<Letter, Strike[]>();
  for (const s of strikes) {
    const list = byLetter.get(stringLetter(s.string));
    if (list === undefined) byLetter.set(stringLetter(s.string), [s]);
    else list.push(s);
  }
  // No string rings longer than the lowest, counted from the end of the longest sweep or tremble.
  const longest = Math.max(
    0,
    ...ringSteps(0).map((s) => s.until),
    ...[...asked.trembles, ...asked.sweeps].map(
      (s) => (ringSteps(0)[2]?.until ?? 0) + micros(s.onset + Math.max(1, s.duration)) - micros(s.onset),
    ),
  );
  const struck = new Map<number, Pitch[]>();
  for (const p of planned.passage.plucks) listed(struck, p.onset).push(p.pitch);
  const needed = neededAt(planned, options, struck);
  const after = (onset: number, letter: Letter, from: number): boolean =>
    (struck.get(onset) ?? []).some(
      (p) => p.letter === letter && p.alter === from && !options.instrument.discless.includes(stringOf(p)),
    );
  const busy = busyAt(asked, micros);
  const slides = new Set((asked.slides ?? []).map((s) => `${s.to.letter}${s.to.alter}@${s.onset}`));
  const slid = ({ letter, to, onset }: Move): boolean => slides.has(`${letter}${to}@${onset}`);
  const last: Partial<Record<Move['foot'], Move>> = {};
  let [instant, sides] = [-1, 0];
  planned.moves.forEach((move) => {
    const { onset, letter } = move;
    const travelled = Math.abs(move.to - move.from);
    spend('moves', rates.move, move);
    spend('second', (travelled - 1) * rates.second, move);
    // A move that must come before what is struck then, and one that must come after, are two gestures.
    const side = slid(move) || needed(onset, letter, move.to) ? -1 : after(onset, letter, move.from) ? 1 : 0;
    if (onset !== instant || side * sides < 0) {
      gestures++;
      spend('gestures', rates.gesture, move);
    }
    sides = onset === instant ? sides || side : side;
    instant = onset;
    const prior = last[move.foot];
    last[move.foot] = move;
    const other = (pedalIndex(letter) < 3 ? 'left' : 'right') !== move.foot ? 1 : 0;
    const double = prior !== undefined && prior.onset === onset ? 1 : 0;
    spend('emergencies', (other + double) * rates.emergency, move);
    if (prior !== undefined && double === 0) {
      const since = micros(onset) - micros(prior.onset);
      if (since < comfortableTime(options.times, prior.letter, letter, travelled)) {
        hasty++;
        spend('hasty', rates.hasty, move);
      }
      const apart = Math.abs(pedalIndex(letter) - pedalIndex(prior.letter)) - 1;
      if (since < REACH_WITHIN) spend('reach', apart * rates.reach, move);
    }
    if (slid(move)) return;
    let ring = 0;
    const mine = byLetter.get(letter) ?? [];
    const next = firstFrom(mine, onset + 1);
    for (let i = next - 1; i >= 0; i--) {
      const s = mine[i] as Strike;
      if (micros(onset) - micros(s.onset) > longest) break;
      if (s.alter !== move.from || s.rings === null || s.rings > onset) continue;
      const rings = s.rings;
      const damped = asked.damps.some(
        (d) => d.onset > rings && d.onset <= onset && (d.below === undefined || s.string < d.below),
      );
      if (damped) continue;
      const since = micros(onset) - micros(rings);
      for (const { until, points } of ringSteps(s.string)) if (since < until) ring = Math.max(ring, points);
    }
    spend('ring', rates.ring * ring, move);
    const serves = !after(onset, letter, move.from);
    let need = Infinity;
    for (let i = serves ? firstFrom(mine, onset) : next; i < mine.length && need === Infinity; i++)
      if ((mine[i] as Strike).alter === move.to) need = (mine[i] as Strike).onset;
    if (Number.isFinite(need)) {
      const { bars } = asked;
      const beat = bars.length === 0 ? 3360 : beatTicks(barAt(bars, need as Ticks).metre);
      if (micros(need) - micros(onset) < options.times.settle) spend('ahead', rates.late, move);
      else if (need - onset < beat) spend('ahead', rates.ahead, move);
    }
    const bar = asked.bars.length === 0 ? null : barAt(asked.bars, onset);
    const beat = bar === null ? 3360 : beatTicks(bar.metre);
    const phase = (onset - (bar?.start ?? 0)) % beat;
    spend('offBeat', phase === 0 ? 0 : (2 * phase === beat ? 1 : 2) * rates.offBeat, move);
    spend('busy', busy(onset) ? rates.busy : 0, move);
  });
  out.push(...spellingSpending(asked, planned, rates));
  return { spending: out, gestures, hasty };
}

/** Whether what is struck at a tick needs a letter in a position. */
function neededAt(
  planned: PlannedPassage,
  options: PlanOptions,
  struck: ReadonlyMap<number, readonly Pitch[]>,
): (onset: number, letter: Letter, to: number) => boolean {
  const { sweeps, trembles } = planned.passage;
  const pedalled = (p: Pitch): boolean => !options.instrument.discless.includes(stringOf(p));
  return (onset, letter, to) =>
    (struck.get(onset) ?? []).some((p) => p.letter === letter && p.alter === to && pedalled(p)) ||
    trembles.some(
      (t) =>
        t.onset === onset &&
        t.notes.some((n) => n.pitch.letter === letter && n.pitch.alter === to && pedalled(n.pitch)),
    ) ||
    sweeps.some((s) => {
      if (s.onset !== onset) return false;
      for (let string = Math.min(s.from, s.to); string <= Math.max(s.from, s.to); string++)
        if (stringLetter(string) === letter && !options.instrument.discless.includes(string)) return true;
      return false;
    });
}

/** Whether a big roll is struck, or the hands leap, at a tick. */
function busyAt(asked: Passage, micros: (t: number) => number): (onset: number) => boolean {
  const chords = new Map<number, number[]>();
  for (const p of asked.plucks) listed(chords, p.onset).push(midiOf(p.pitch));
  const onsets = [...chords.keys()].sort((a, b) => a - b);
  const leaps = onsets.flatMap((onset, i) => {
    const before = onsets[i - 1];
    if (before === undefined) return [];
    const [a, b] = [chords.get(before) as number[], chords.get(onset) as number[]];
    const low = Math.min(...b) - Math.min(...a);
    const high = Math.max(...b) - Math.max(...a);
    const leaps = (low >= LEAP && high >= LEAP) || (low <= -LEAP && high <= -LEAP);
    return leaps ? [[before, onset] as const] : [];
  });
  const rolls = asked.rolls.flatMap((roll) => {
    const plucks = asked.plucks.filter((p) => roll.plucks.includes(p.id));
    const strings = plucks.map((p) => stringOf(p.pitch));
    const wide = Math.max(...strings) - Math.min(...strings) >= BIG_ROLL.strings;
    if (roll.direction === 'none' || plucks.length < BIG_ROLL.notes || !wide) return [];
    const from = (plucks[0] as (typeof plucks)[number]).onset;
    return [{ from, long: ROLL_STEP * plucks.length }];
  });
  return (onset) =>
    leaps.some(([from, to]) => onset >= from && onset < to) ||
    rolls.some((r) => onset >= r.from && micros(onset) - micros(r.from) < r.long);
}

/** What the spelling costs, stop by stop. */
function spellingSpending(asked: Passage, planned: PlannedPassage, rates: Rates): Spending[] {
  const out: Spending[] = [];
  const spend = (
    onset: number,
    notes: readonly { id: string; pitch: Pitch; hand: Hand | null }[],
    was: ReadonlyMap<string, Pitch>,
  ): void => {
    const groups = new Map<string, { -readonly [K in keyof SpeltGroup]: SpeltGroup[K] }>();
    for (const n of notes) {
      const old = was.get(n.id) ?? n.pitch;
      const key = `${midiOf(n.pitch)}/${diatonicIndex(n.pitch)}`;
      const group = groups.get(key) ?? { pitch: n.pitch, respelt: 0, plucks: 0, hands: [] };
      group.plucks++;
      if (old.letter !== n.pitch.letter) group.respelt++;
      if (n.hand !== null) group.hands = [...group.hands, { hand: n.hand, asked: diatonicIndex(old) }];
      groups.set(key, group);
    }
    const price = spellingPrice([...groups.values()], rates);
    for (const term of ['respelt', 'sharps', 'reading', 'shape'] as const)
      if (price[term] > 0)
        out.push({ term, onset: onset as Ticks, points: price[term], ids: notes.map((n) => n.id) });
  };
  const was = new Map<string, Pitch>();
  for (const p of asked.plucks) was.set(p.id, p.pitch);
  for (const t of asked.trembles) for (const n of t.notes) was.set(n.id, n.pitch);
  const chords = new Map<number, Passage['plucks'][number][]>();
  for (const p of planned.passage.plucks) {
    const list = chords.get(p.onset);
    if (list === undefined) chords.set(p.onset, [p]);
    else list.push(p);
  }
  const silent = [...planned.passage.sweeps, ...planned.passage.trembles, ...(asked.slides ?? [])];
  const stops = [...new Set([...chords.keys(), ...silent.map((s) => s.onset)])].sort((a, b) => a - b);
  let before: ReadonlyMap<number, number> = new Map();
  for (const onset of stops) {
    const notes = chords.get(onset) ?? [];
    spend(onset, notes, was);
    for (const t of planned.passage.trembles) if (t.onset === onset) spend(onset, t.notes, was);
    const letters = lettersOf(notes.map((n) => n.pitch));
    const points = flipPrice(before, letters, rates.flip);
    if (points > 0) out.push({ term: 'flips', onset: onset as Ticks, points, ids: notes.map((n) => n.id) });
    before = letters;
  }
  return out;
}

/** Points by term; every term is there. */
export function termsOf(spending: readonly Spending[]): Record<TermName, number> {
  const out = Object.fromEntries(TERMS.map((t) => [t, 0])) as Record<TermName, number>;
  for (const s of spending) out[s.term] += s.points;
  return out;
}

/** The price of a plan by its terms, from the notes and moves alone. */
export function priceOf(given: Passage, planned: PlannedPassage, options: PlanOptions): PedalPrice {
  const asked = options.fifths === undefined ? given : inHarpKey(given, options.fifths);
  const { spending, gestures, hasty } = spent(given, planned, options);
  const terms = termsOf(spending);
  const { moves } = planned;
  const pitches = new Map<string, Pitch>();
  for (const p of asked.plucks) pitches.set(p.id, p.pitch);
  for (const t of asked.trembles) for (const n of t.notes) pitches.set(n.id, n.pitch);
  const now = [...planned.passage.plucks, ...planned.passage.trembles.flatMap((t) => t.notes)];
  const respelt = now.filter((n) => pitches.get(n.id)?.letter !== n.pitch.letter).length;
  const slides = new Set((asked.slides ?? []).map((s) => `${s.to.letter}${s.to.alter}@${s.onset}`));
  return {
    moves: moves.length,
    gestures,
    positions: moves.reduce((sum, m) => sum + Math.abs(m.to - m.from), 0),
    hasty,
    respelt,
    ...(slides.size === 0
      ? {}
      : { slides: moves.filter((m) => slides.has(`${m.letter}${m.to}@${m.onset}`)).length }),
    points: TERMS.reduce((sum, t) => sum + terms[t], 0),
    terms,
  };
}
