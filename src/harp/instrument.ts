/** Harps as data: compass, discless strings, registers. */

import type { Source } from './source';
import { type StringIndex, TOP_STRING } from './strings';
import type { Position } from './setting';

export interface Instrument {
  readonly id: string;
  readonly name: string;
  readonly lowest: StringIndex;
  readonly highest: StringIndex;
  /** Strings that no pedal reaches; each holds one inflection for a whole part. */
  readonly discless: readonly StringIndex[];
  /** The inflection of discless strings unless the part suggests another. */
  readonly disclessDefault: Position;
  readonly source: Source;
}

/** The 47-string concert grand: C1–G7; C1 and D1 have no discs. */
export const CONCERT_HARP: Instrument = {
  id: 'concert-47',
  name: 'Concert harp, 47 strings',
  lowest: 0,
  highest: TOP_STRING,
  discless: [0, 1],
  disclessDefault: 0,
  source:
    'Wikipedia, "Pedal harp"; discless: Canton & Overlach, Composing for Harp; Volpé Bligh, Writing for the Pedal Harp',
};

export const INSTRUMENTS: readonly Instrument[] = [
  CONCERT_HARP,
  {
    id: 'semi-grand-46',
    name: 'Semi-grand harp, 46 strings',
    lowest: 1,
    highest: TOP_STRING,
    discless: [1],
    disclessDefault: 0,
    source: 'Wikipedia, "Pedal harp"; discless: common practice',
  },
  {
    id: 'pedal-44',
    name: 'Pedal harp, 44 strings',
    lowest: 1,
    highest: 44,
    discless: [1],
    disclessDefault: 0,
    source: 'common practice',
  },
  {
    id: 'petite-40',
    name: 'Pedal harp, 40 strings',
    lowest: 5,
    highest: 44,
    discless: [],
    disclessDefault: 0,
    source: 'common practice',
  },
];

/** A harp with a lever on each string in place of pedals: up raises that one string by a semitone. */
export interface LeverHarp {
  readonly id: string;
  readonly name: string;
  readonly lowest: StringIndex;
  readonly highest: StringIndex;
  /** Key to which the strings are tuned with all levers down, in fifths: -3 is E♭ major. */
  readonly levers: number;
  readonly source: Source;
}

/** 34 strings, C2–A6, tuned to E♭ major. */
export const LEVER_HARP: LeverHarp = {
  id: 'lever-34',
  name: 'Lever harp, 34 strings',
  lowest: 7,
  highest: 40,
  levers: -3,
  source: 'LilyPond Notation Reference, Harp; compass and tuning common practice',
};

/** How a string is named in the octave count of harpists, from the top: 00 is G7, 0 is F7, then 1 from E7 down to F6. */
export function harpistOctave(s: StringIndex): string {
  if (s === TOP_STRING) return '00';
  if (s === TOP_STRING - 1) return '0';
  return String(Math.floor((TOP_STRING - 2 - s) / 7) + 1);
}
