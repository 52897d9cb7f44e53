/** What two hands can do, checked on a draft before it leaves: the first breach is the reason for a refusal. */

import type { Problem } from '../base/problem';
import type { Result } from '../base/result';
import { fail, ok } from '../base/result';
import { TICKS_PER_QUARTER, type Ticks, ticks } from '../base/units';
import { LANDMARKS } from '../harp/registers';
import { stringName, stringOf } from '../harp/strings';
import type { Hand, Passage, Pluck } from '../music/passage';
import type { Range } from './register';

/** Microseconds; all common practice (trade figures for hands). */
export const HAND_LIMITS = {
  /** Onsets of one hand inside a placed group: 14 a second. */
  inGroup: 71_429,
  /** Five onsets onward in one hand: 7 a second, so that a line is more than one group. */
  line: 714_286,
  /** Onsets of both hands together: 12 a second. */
  bothHands: 83_333,
  /** A new chord of three or four notes after another: 2.5 a second. */
  newChord: 400_000,
  /** Time to place a chord or a pair after anything else. */
  place: 250_000,
  newPair: 200_000,
  etouffe: 333_334,
  harmonic: 500_000,
  /** One string again: four times a second from C4 up, 2.5 below C3, in proportion between; in thousandths. */
  repeatHigh: 4_000,
  repeatLow: 2_500,
  /** A leap of fourteen strings. */
  leap: 450_000,
} as const;

const C3 = LANDMARKS.lowBlur.string;
const C4 = LANDMARKS.middle.string;
export const RIGHT_LOWEST = LANDMARKS.rightHandLow.string;
/** Harmonics and the sound near the soundboard end at F5; a respelling may add a string. */
const SPECIAL_HIGH = LANDMARKS.harmonicHigh.string - 1;

interface Onset {
  readonly onset: Ticks;
  readonly plucks: readonly Pluck[];
  readonly strings: readonly number[];
  readonly rolled: boolean;
}

/** Microseconds between two plucks of a string, judged one string lower: a respelling may move it there. */
export function repeatTime(s: number): number {
  const { repeatHigh: high, repeatLow: low } = HAND_LIMITS;
  const above = Math.min(C4 - C3, Math.max(0, s - 1 - C3));
  return Math.ceil(1_000_000_000 / (low + Math.floor(((high - low) * above) / (C4 - C3))));
}

/** Microseconds from ticks at one tempo, rounded down. */
export const microsOf = (span: number, milliBpm: number): number =>
  Math.floor((span * 60_000_000_000) / (milliBpm * TICKS_PER_QUARTER));

function onsetsOf(passage: Passage, hand: Hand | null): Onset[] {
  const rolled = new Set(passage.rolls.filter((r) => r.direction !== 'none').flatMap((r) => r.plucks));
  const out: { onset: Ticks; plucks: Pluck[]; strings: number[]; rolled: boolean }[] = [];
  for (const p of passage.plucks) {
    if (hand !== null && p.hand !== hand) continue;
    let last = out.at(-1);
    if (last === undefined || last.onset !== p.onset) {
      last = { onset: p.onset, plucks: [], strings: [], rolled: false };
      out.push(last);
    }
    last.plucks.push(p);
    last.strings.push(stringOf(p.pitch));
    if (rolled.has(p.id)) last.rolled = true;
  }
  return out;
}

/** Checks a passage at its first tempo on the strings of a compass. Fails with the first breach: code, value and limit in the rule's unit. */
export function checkHands(passage: Passage, compass: Range): Result<null> {
  const milliBpm = passage.tempo[0]?.milliBpm ?? 90_000;
  const breach = (code: string, o: Onset, value: number, limit: number, unit: string): Result<null> =>
    fail<Problem>({
      code,
      severity: 'error',
      where: { kind: 'music', onset: o.onset, ids: o.plucks.map((p) => p.id) },
      value,
      limit,
      unit,
      source: 'common practice',
      detail: { string: stringName(o.strings[0] ?? 0) },
    });
  /** Too short a time between two onsets: value and limit in seconds. */
  const tooSoon = (code: string, a: Onset, b: Onset, limit: number): Result<null> | null => {
    const time = microsOf(b.onset - a.onset, milliBpm);
    return time < limit ? breach(code, b, time / 1e6, limit / 1e6, 's') : null;
  };

  for (const hand of ['L', 'R'] as const) {
    const onsets = onsetsOf(passage, hand);
    let chord: Onset | null = null;
    for (let i = 0; i < onsets.length; i++) {
      const o = onsets[i] as Onset;
      const [low, high] = [Math.min(...o.strings), Math.max(...o.strings)];
      if (o.strings.length > 4) return breach('four-fingers', o, o.strings.length, 4, 'notes');
      if (high - low > (o.rolled ? 10 : 9)) return breach('span', o, high - low + 1, 10, 'strings');
      if (hand === 'R' && low < RIGHT_LOWEST) return breach('right-hand-low', o, low, RIGHT_LOWEST, 'string');
      if (low < compass[0]) return breach('range', o, low, compass[0], 'string');
      if (high > compass[1]) return breach('range', o, high, compass[1], 'string');
      for (const t of ['table', 'harmonic'] as const) {
        const s = o.plucks.filter((p) => p.technique === t).map((p) => stringOf(p.pitch));
        if (s.some((x) => x > SPECIAL_HIGH)) return breach(`${t}-range`, o, high, SPECIAL_HIGH, 'string');
      }
      const before = onsets[i - 1];
      const same = (x: Onset): boolean => x.strings.join() === o.strings.join();
      if (before !== undefined) {
        const fast = tooSoon('hand-speed', before, o, HAND_LIMITS.inGroup);
        if (fast !== null) return fast;
        const move = Math.abs(low + high - Math.min(...before.strings) - Math.max(...before.strings)) >> 1;
        if (move > 9) {
          const leap = tooSoon('leap', before, o, Math.floor((HAND_LIMITS.leap * move) / 14));
          if (leap !== null) return leap;
        }
        if (o.strings.length >= 2 && !same(before)) {
          const limit = o.strings.length === 2 ? HAND_LIMITS.newPair : HAND_LIMITS.place;
          const placed = tooSoon('placing', before, o, limit);
          if (placed !== null) return placed;
        }
        for (const t of ['etouffe', 'harmonic'] as const) {
          const is = (x: Onset): boolean => x.plucks.some((p) => p.technique === t);
          if (!is(o) || !is(before)) continue;
          const slow = tooSoon(`${t}-speed`, before, o, HAND_LIMITS[t]);
          if (slow !== null) return slow;
        }
      }
      const line = onsets[i - 5];
      if (line !== undefined) {
        const run = tooSoon('line-speed', line, o, HAND_LIMITS.line);
        if (run !== null) return run;
      }
      if (o.strings.length >= 3) {
        if (chord !== null && !same(chord)) {
          const soon = tooSoon('chord-speed', chord, o, HAND_LIMITS.newChord);
          if (soon !== null) return soon;
        }
        chord = o;
      }
    }
  }

  const heard = new Map<number, Onset>();
  let before: Onset | null = null;
  for (const o of onsetsOf(passage, null)) {
    if (before !== null) {
      const fast = tooSoon('both-hands-speed', before, o, HAND_LIMITS.bothHands);
      if (fast !== null) return fast;
    }
    before = o;
    for (const s of o.strings) {
      const last = heard.get(s);
      if (last !== undefined) {
        if (last === o) return breach('one-string-twice', o, 2, 1, 'notes');
        const soon = tooSoon('repeat', last, o, repeatTime(s));
        if (soon !== null) return soon;
      }
      heard.set(s, o);
    }
  }
  return ok(null);
}

/** The tick type's zero, for problems that concern the whole. */
export const START = ticks(0);
