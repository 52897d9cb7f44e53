/** The ways to spell one instant of a reduction from where the pedals stand, the cheapest first. */

import type { Ticks } from '../base/units';
import type { Instrument } from '../harp/instrument';
import { PEDALS, type Position, type Setting, pedalIndex, positionOf } from '../harp/setting';
import { stringLetter, stringOf, stringPitch } from '../harp/strings';
import type { Passage, Sweep } from '../music/passage';
import { type Pitch, harpSpellings, midiOf } from '../music/pitch';
import { tuningOf } from './check-needs';

/** Points (the scale of reduction/roles.ts). */
export const COST = {
  move: 12,
  second: 3,
  respelt: 1,
  hasty: 5,
  /** A pedal that cannot stand its time before the next pluck. */
  unsettled: 25,
  /** Each move that others crowd about, for each beyond what a player does not mind. */
  crowd: 4,
} as const;
/** Ways of spelling one instant that are followed, for each course. */
const WAYS = 4;

/** What each string without a disc is tuned to before the first note. */
export type Tuning = ReadonlyMap<number, Position>;

/** Such strings as most of the notes ask for them, else natural. */
export function tuningFor(passage: Passage, instrument: Instrument): Tuning {
  const asked = tuningOf(passage, instrument);
  return new Map(instrument.discless.map((string) => [string, asked[string] ?? 0]));
}

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

/** A sweep that no pedals serve is worse than any note left out. */
const SWEEP_WORTH = 4000;

/** What a sweep asks of the pedals, as notes: each letter that it touches, in its first setting, to its end. */
export function sweepNotes(sweep: Sweep): PedalNote[] {
  const setting = sweep.settings[0] as Setting;
  const [low, high] = [Math.min(sweep.from, sweep.to), Math.max(sweep.from, sweep.to)];
  const out: PedalNote[] = [];
  for (let s = low; s <= Math.min(high, low + PEDALS.length - 1); s++) {
    const letter = stringLetter(s);
    const alter = positionOf(setting, letter);
    out.push({
      id: `${sweep.id}.${letter}`,
      pitch: stringPitch(s, alter),
      fixed: true,
      worth: SWEEP_WORTH,
      until: sweep.onset + sweep.duration,
    });
  }
  return out;
}

/** Notes of one pitch at an instant, spelt together. */
export interface Group {
  readonly ids: readonly string[];
  readonly worth: number;
  readonly ways: readonly { readonly pitch: Pitch; readonly price: number }[];
  readonly until: number;
}

export function groupsOf(stop: PedalStop, instrument: Instrument): Group[] {
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

export interface Way {
  readonly cost: number;
  readonly picks: readonly (Pitch | null)[];
}

/** The cheapest ways to spell an instant, by moves asked alone; a group may be left out at its worth. */
export function waysOf(
  stand: readonly (Position | null)[],
  groups: readonly Group[],
  tuning: Tuning,
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
      const tuned = tuning.get(s);
      if (tuned !== undefined) {
        if (pitch.alter !== tuned) continue;
        picks.push(pitch);
        walk(i + 1, cost + price);
        picks.pop();
        continue;
      }
      const p = pedalIndex(pitch.letter);
      const before = asked[p] as Position | null;
      if (before !== null && before !== pitch.alter) continue;
      const stands = stand[p] as Position | null;
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
