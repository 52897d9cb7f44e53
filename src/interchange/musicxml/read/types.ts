/** What reading a file answers: the passage, the pedal marks found in it, and what was not understood. */

import type { Ticks } from '../../../base/units';
import type { PlannedPassage } from '../../../harp/planned';
import type { Setting, Position } from '../../../harp/setting';
import type { Letter } from '../../../music/pitch';
import type { Passage } from '../../../music/passage';

/** Pedal marks in the order of the score. */
export interface WrittenPedals {
  /** Diagrams: all seven pedals at an onset. */
  readonly settings: readonly { readonly onset: Ticks; readonly setting: Setting }[];
  /** Single changes. */
  readonly moves: readonly { readonly onset: Ticks; readonly letter: Letter; readonly to: Position }[];
}

/** Something in the file that has no place in a passage; nothing is dropped without a line here. */
export interface Unread {
  /** The element, or `words`, or what kept a known element from being used. */
  readonly what: string;
  /** The words themselves, or further detail; empty where there is none. */
  readonly text: string;
  /** Printed number of the bar where it first occurs. */
  readonly bar: string;
  readonly count: number;
}

/** One `note` element of a MusicXML file. */
export interface NoteSource {
  /** Id of the part. */
  readonly part: string;
  /** Place among the part's measures in the file, from 0. */
  readonly measure: number;
  /** Place among the `note` elements of that measure, from 0, rests counted. */
  readonly note: number;
}

export interface ReadPart {
  readonly passage: Passage;
  readonly markings: WrittenPedals;
  readonly partName: string;
  /** The parts of the file by name or number, each as `ReadOptions.part` takes it; absent where there is one. */
  readonly parts?: readonly string[];
  /** The file says a tempo; else the passage is read at the default. */
  readonly tempoGiven: boolean;
  /** Voices or staves tell the hands apart; else every hand is null. */
  readonly handsGiven: boolean;
  readonly unread: readonly Unread[];
  /**
   * Where each pluck and each note of a tremble stands in the file, by id: the notes of its tie in order. A sweep's
   * last is the note that ends its line. Bars played twice share their sources. Empty for MIDI.
   */
  readonly sources: ReadonlyMap<string, readonly NoteSource[]>;
  /** The plan itself, where the file is saved work and holds it. */
  readonly planned?: PlannedPassage;
}

export interface ReadOptions {
  /** Name, id or number (from 1) of the part wanted; without it the harp, else the two-staff part, else the first. */
  readonly part?: string;
  /**
   * Where a harmonic is written that does not say it: at its string, or an octave higher, where it sounds. Without
   * an answer it is read at its string and listed in `unread`.
   */
  readonly harmonics?: 'string' | 'sounding';
  /** A part for a transposing instrument is refused, the usual, or read at the pitch that sounds. */
  readonly transpose?: 'refuse' | 'apply';
}
