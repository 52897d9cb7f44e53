/** What an instant costs a move: rings, nearness of need, beat, leaps and rolls; by letter, positions and tick alone. */

import { pedalIndex, positionOf } from '../harp/setting';
import { stringLetter, stringOf } from '../harp/strings';
import { type Bar, barAt, beatTicks } from '../music/metre';
import type { Passage } from '../music/passage';
import { type Pitch, midiOf } from '../music/pitch';
import type { Clock } from './clock';
import { openSpellings } from './demands';
import type { SpellingRules } from './demand-types';
import { BIG_ROLL, LEAP, ROLL_STEP, ratesOf, ringSteps } from './rates';

/** Points from a tick on, until the next step; sorted by tick. */
interface Steps {
  readonly at: readonly number[];
  readonly points: readonly number[];
}

/** Digits are positions + 1; pedals as in `PEDALS`. */
export interface Instants {
  /**
   * Points of a move at a tick, gesture and feet left out. `after`: its pedal is struck at that tick in the old
   * position, so that only later notes can wait for it.
   */
  cost(pedal: number, from: number, to: number, at: number, after: boolean): number;
  /** Whether a move is a deliberate slide. */
  slides(pedal: number, to: number, at: number): boolean;
  /** For a move, no more than any cost between two ticks, both included, between which nothing is struck. */
  least(begin: number, until: number): (pedal: number, from: number, to: number) => number;
  /** Ticks after `from` up to and with `until` at which some cost of the pedal's move falls; ascending. */
  drops(pedal: number, digit: number, from: number, until: number): readonly number[];
}

const FAR = Number.MAX_SAFE_INTEGER;

/** The first index whose value lies after `at`. */
function after(list: readonly number[], at: number): number {
  let [low, high] = [0, list.length];
  while (low < high) {
    const mid = (low + high) >> 1;
    if ((list[mid] as number) > at) high = mid;
    else low = mid + 1;
  }
  return low;
}

/** The greatest points among stretches that hold, from tick to tick (the end not included). */
function stepsOf(stretches: { from: number; until: number; points: number }[]): Steps {
  const edges = stretches
    .filter((s) => s.until > s.from)
    .flatMap((s) => [
      { at: s.from, points: s.points, by: 1 },
      { at: s.until, points: s.points, by: -1 },
    ])
    .sort((a, b) => a.at - b.at);
  const open = new Int32Array(16);
  const at: number[] = [];
  const points: number[] = [];
  for (let i = 0; i < edges.length;) {
    const tick = (edges[i] as { at: number }).at;
    while (i < edges.length && (edges[i] as { at: number }).at === tick) {
      const edge = edges[i++] as (typeof edges)[number];
      open[edge.points] = (open[edge.points] as number) + edge.by;
    }
    let level = 15;
    while (level > 0 && open[level] === 0) level--;
    if (level === (points.at(-1) ?? 0)) continue;
    at.push(tick);
    points.push(level);
  }
  return { at, points };
}

const levelAt = ({ at, points }: Steps, tick: number): number => points[after(at, tick) - 1] ?? 0;

/** Times of a passage, for the moves of every pedal. */
export function instantsOf(
  passage: Passage,
  rules: SpellingRules,
  clock: Clock,
  settle: number,
  slides: ReadonlySet<string>,
): Instants {
  const { bars } = passage;
  const rates = ratesOf(rules);
  const { discless, lowest, highest } = rules.instrument;
  const damps = [...passage.damps].sort((a, b) => a.onset - b.onset);
  const rings = Array.from({ length: 21 }, (): { from: number; until: number; points: number }[] => []);
  const uses = Array.from({ length: 21 }, (): number[] => []);
  const slot = (pedal: number, digit: number): number => 3 * pedal + digit;
  const strike = (string: number, digit: number, onset: number, end: number, rung: boolean): void => {
    if (discless.includes(string)) return;
    const index = slot(pedalIndex(stringLetter(string)), digit);
    (uses[index] as number[]).push(onset);
    if (!rung) return;
    const damp = damps.find((d) => d.onset > end && (d.below === undefined || string < d.below));
    for (const { until, points } of ringSteps(string)) {
      const last = Math.min(damp?.onset ?? FAR, clock.after(end, until));
      (rings[index] as (typeof rings)[number]).push({ from: end, until: last, points });
    }
  };
  const slid = new Set((passage.slides ?? []).map((s) => s.pluck));
  for (const note of passage.plucks) {
    const open = openSpellings(slid.has(note.id) ? { ...note, fixed: true } : note, rules);
    for (const p of open)
      strike(stringOf(p), p.alter + 1, note.onset, note.onset, note.technique !== 'etouffe');
  }
  for (const t of passage.trembles)
    for (const note of t.notes)
      for (const p of openSpellings(note, rules))
        strike(stringOf(p), p.alter + 1, t.onset, t.onset + Math.max(1, t.duration), true);
  for (const sweep of passage.sweeps) {
    const [low, high] = [Math.min(sweep.from, sweep.to), Math.max(sweep.from, sweep.to)];
    for (let s = Math.max(low, lowest); s <= Math.min(high, highest); s++) {
      const digits = new Set(sweep.settings.map((x) => positionOf(x, stringLetter(s)) + 1));
      for (const digit of digits)
        strike(s, digit, sweep.onset, sweep.onset + Math.max(1, sweep.duration), true);
    }
  }
  for (const list of uses) list.sort((a, b) => a - b);
  const ringing = rings.map(stepsOf);
  const spans = passage.sweeps.length + passage.trembles.length > 0;
  const busy = stepsOf([...leapsOf(passage), ...rollsOf(passage, clock)]);
  const beats = (at: number): { beat: number; origin: number } => {
    if (bars.length === 0) return { beat: 3360, origin: 0 };
    const bar: Bar = barAt(bars, at as Bar['start']);
    return { beat: beatTicks(bar.metre), origin: bar.start };
  };
  const ahead = (pedal: number, to: number, at: number, later: boolean): number => {
    const list = uses[slot(pedal, to)] as number[];
    const need = list[after(list, later ? at : at - 1)];
    if (need === undefined) return 0;
    if (clock.microsAt(need) - clock.microsAt(at) < settle) return rates.late;
    return need - at < beats(need).beat ? rates.ahead : 0;
  };
  const isSlide = (pedal: number, to: number, at: number): boolean =>
    slides.size > 0 && slides.has(`${pedal}/${to}/${at}`);
  return {
    slides: isSlide,
    cost: (pedal, from, to, at, later) => {
      const own = rates.move + (Math.abs(to - from) - 1) * rates.second;
      if (isSlide(pedal, to, at)) return own;
      const { beat, origin } = beats(at);
      const phase = (((at - origin) % beat) + beat) % beat;
      const off = phase === 0 ? 0 : 2 * phase === beat ? 1 : 2;
      return (
        own +
        rates.ring * levelAt(ringing[slot(pedal, from)] as Steps, at) +
        ahead(pedal, to, at, later) +
        off * rates.offBeat +
        rates.busy * levelAt(busy, at)
      );
    },
    least: (begin, until) => {
      const { beat, origin } = beats(until);
      const half = beat / 2;
      const on = (step: number): boolean => origin + Math.floor((until - origin) / step) * step >= begin;
      const off = origin >= begin || on(beat) ? 0 : on(half) ? 1 : 2;
      return (pedal, from, to) => {
        const own = rates.move + (Math.abs(to - from) - 1) * rates.second;
        if (slides.size > 0) return own;
        const ring = ringing[slot(pedal, from)] as Steps;
        // What rings on after a sweep or tremble may begin to ring in between.
        const low = spans ? 0 : Math.min(levelAt(ring, until), until > begin ? levelAt(ring, until - 1) : 15);
        return own + rates.ring * low + ahead(pedal, to, begin, true) + off * rates.offBeat;
      };
    },
    drops: (pedal, digit, from, until) => {
      const out: number[] = [];
      for (const steps of [ringing[slot(pedal, digit)] as Steps, busy]) {
        for (let i = after(steps.at, from); i < steps.at.length && (steps.at[i] as number) <= until; i++)
          if ((steps.points[i] as number) < (steps.points[i - 1] ?? 0)) out.push(steps.at[i] as number);
      }
      for (let at = from; at < until;) {
        const { beat, origin } = beats(at);
        const half = beat / 2;
        const next = origin + (Math.floor((at - origin) / half) + 1) * half;
        const bar = beats(next).origin;
        at = bar > at && bar < next ? bar : Math.ceil(next);
        if (at <= until) out.push(at);
      }
      return out.sort((a, b) => a - b);
    },
  };
}

export const slideNames = (passage: Passage): ReadonlySet<string> =>
  new Set((passage.slides ?? []).map((s) => `${pedalIndex(s.to.letter)}/${s.to.alter + 1}/${s.onset}`));

/** While both the lowest and the highest note go at least two octaves the same way. */
function leapsOf(passage: Passage): { from: number; until: number; points: number }[] {
  const out: { from: number; until: number; points: number }[] = [];
  let last: { onset: number; low: number; high: number } | null = null;
  const ends = new Map<number, { low: number; high: number }>();
  for (const { onset, pitch } of passage.plucks) {
    const midi = midiOf(pitch);
    const found = ends.get(onset);
    ends.set(onset, {
      low: Math.min(found?.low ?? midi, midi),
      high: Math.max(found?.high ?? midi, midi),
    });
  }
  for (const [onset, { low, high }] of [...ends.entries()].sort((a, b) => a[0] - b[0])) {
    if (last !== null) {
      const [a, b] = [low - last.low, high - last.high];
      if (Math.min(a, b) >= LEAP || Math.max(a, b) <= -LEAP)
        out.push({ from: last.onset, until: onset, points: 1 });
    }
    last = { onset, low, high };
  }
  return out;
}

function rollsOf(passage: Passage, clock: Clock): { from: number; until: number; points: number }[] {
  if (passage.rolls.length === 0) return [];
  const byId = new Map(passage.plucks.map((p) => [p.id, p]));
  return passage.rolls.flatMap((roll) => {
    const plucks = roll.plucks.flatMap((id) => byId.get(id) ?? []);
    const strings = plucks.map((p) => stringOf(p.pitch as Pitch));
    const wide = Math.max(...strings) - Math.min(...strings) >= BIG_ROLL.strings;
    const from = plucks[0]?.onset;
    if (roll.direction === 'none' || from === undefined || plucks.length < BIG_ROLL.notes || !wide) return [];
    return [{ from, until: clock.after(from, plucks.length * ROLL_STEP), points: 1 }];
  });
}
