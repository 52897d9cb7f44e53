/** What happens over a phrase: it fills in or thins out (pace, dynamics, hairpins), is led into, closes anew. */

import type { Random } from '../base/random';
import { type Ticks, ticks } from '../base/units';
import type { Progression } from '../harmony/types';
import { type Metre, barTicks, isCompound } from '../music/metre';
import type { Dynamic, Hairpin } from '../music/passage';

/** Bars of a phrase. */
export const PHRASE = 4;

/** How a phrase may be led into (upbeat.ts). */
export const UPBEATS = ['rising', 'falling'] as const;
export type Upbeat = (typeof UPBEATS)[number];

export type Arc = 'filling' | 'thinning';

/** Bars of a phrase, from 0, that go at half the pace. */
const SLOW: Readonly<Record<Arc, readonly number[]>> = { filling: [0, 1], thinning: [2, 3] };

const LEVELS: readonly Dynamic[] = ['ppp', 'pp', 'p', 'mp', 'mf', 'f', 'ff', 'fff'];

/** The next louder or softer dynamic; the ends of the scale stay. */
export const stepped = (d: Dynamic, by: 1 | -1): Dynamic => LEVELS[LEVELS.indexOf(d) + by] ?? d;

/** An arc for a third of the drafts that have room for one: three bars and more. */
export function drawArc(progression: Progression, random: Random): Arc | null {
  const drawn = random.below(6);
  return progression.barCount < 3 || drawn > 1 ? null : drawn === 0 ? 'filling' : 'thinning';
}

/**
 * About half of a number of steps to the beat, where that is a pace as well; else the same. Triplets go to eighths, the
 * eighths of a dotted quarter to dotted quarters.
 */
export function halved(perBeat: number, metre: Metre): number {
  const half: Readonly<Record<number, number>> = {
    12: 6,
    8: 4,
    6: 3,
    4: 2,
    3: isCompound(metre) ? 1 : 2,
    2: 1,
    1: 0.5,
  };
  return half[perBeat] ?? perBeat;
}

/** Whether a bar goes at half the pace. */
export const isSlow = (arc: Arc | null, bar: number): boolean =>
  arc !== null && SLOW[arc].includes(bar % PHRASE);

/** The last bar of the phrase that a bar belongs to; the last phrase may be shorter. */
const lastOfPhrase = (bar: number, bars: number): number =>
  Math.min(bars - 1, bar - (bar % PHRASE) + PHRASE - 1);

/** The dynamic of a bar: a phrase that fills in ends a step louder, one that thins out a step softer. */
export function dynamicAt(arc: Arc | null, dynamic: Dynamic, bar: number, bars: number): Dynamic {
  const turns = arc !== null && bar % PHRASE > 1 && bar === lastOfPhrase(bar, bars);
  return turns ? stepped(dynamic, arc === 'filling' ? 1 : -1) : dynamic;
}

/** Hairpins to the last bar of each phrase of three bars and more; from its beginning, or where it thins out. */
export function arcHairpins(arc: Arc | null, progression: Progression): Hairpin[] {
  if (arc === null) return [];
  const length = barTicks(progression.metre);
  const at = (bar: number): Ticks => ticks(bar * length);
  const out: Hairpin[] = [];
  for (let bar = 0; bar < progression.barCount; bar += PHRASE) {
    const last = lastOfPhrase(bar, progression.barCount);
    if (last - bar < 2) continue;
    out.push(
      arc === 'filling'
        ? { from: at(bar), to: at(last), kind: 'crescendo' }
        : { from: at(last - 1), to: at(last), kind: 'diminuendo' },
    );
  }
  return out;
}

/**
 * Bars that close a phrase played again: the four bars up to it have the chords of the four before them. Such a bar
 * closes otherwise than the first time. `chords`: one word a bar.
 */
export function secondEndings(chords: readonly string[]): ReadonlySet<number> {
  const out = new Set<number>();
  for (let bar = 2 * PHRASE - 1; bar < chords.length; bar += PHRASE) {
    const here = chords.slice(bar + 1 - PHRASE, bar + 1).join('|');
    for (let before = bar - PHRASE; before >= PHRASE - 1 && !out.has(bar); before -= PHRASE)
      if (chords.slice(before + 1 - PHRASE, before + 1).join('|') === here && !out.has(before)) out.add(bar);
  }
  return out;
}
