/** The shared currency: plucks, sweeps and trembles in bars, before strings and pedals are chosen. */

import type { Ticks } from '../base/units';
import type { Bar } from './metre';
import type { Letter, Pitch } from './pitch';
import type { TempoChange } from './tempo';

export type Hand = 'R' | 'L';
/** 1 thumb, 2, 3, 4 ring finger: harpists do not use the fifth. */
export type Finger = 1 | 2 | 3 | 4;
/** `table` is près de la table (near the soundboard), `etouffe` is damped at once, `nail` with the fingernail. */
export type Technique = 'ordinary' | 'table' | 'harmonic' | 'etouffe' | 'nail';
export type Dynamic = 'ppp' | 'pp' | 'p' | 'mp' | 'mf' | 'f' | 'ff' | 'fff';

/** One string plucked once. For a harmonic the pitch is where the string is; it sounds an octave higher. */
export interface Pluck {
  /** Unique in the passage, stable: the same id names the note in plan, page and file. */
  readonly id: string;
  readonly onset: Ticks;
  /** Written length. The string rings on until it decays, is plucked again or is damped. */
  readonly duration: Ticks;
  /** The spelling asked for; the pedal plan may choose a homophone unless `fixed`. */
  readonly pitch: Pitch;
  readonly fixed?: boolean;
  readonly hand: Hand | null;
  readonly finger: Finger | null;
  readonly technique: Technique;
  readonly dynamic: Dynamic;
  /** Laissez vibrer: a let-ring tie is printed. */
  readonly ring?: boolean;
  /** The staff it is printed on, where it was read from a file: 1 upper, 2 lower. */
  readonly staff?: 1 | 2;
}

/** How the plucks of one chord are struck: rolled up or down, or together (`none`, printed as a bracket). */
export interface Roll {
  readonly id: string;
  readonly plucks: readonly string[];
  readonly direction: 'up' | 'down' | 'none';
}

/** A glissando: every string between the ends sounds. Ends are string positions; the setting gives the pitches. */
export interface Sweep {
  readonly id: string;
  readonly onset: Ticks;
  readonly duration: Ticks;
  readonly hand: Hand;
  /** String indices (see harp/strings): 0 is C1, 46 is G7. from > to sweeps downwards. */
  readonly from: number;
  readonly to: number;
  /** Settings (packed, see harp/setting) of which any sounds right; the plan picks one. Not empty. */
  readonly settings: readonly number[];
  readonly dynamic: Dynamic;
}

/** Bisbigliando: the strings of these pitches, alternated softly and fast by both hands. */
export interface Tremble {
  readonly id: string;
  readonly onset: Ticks;
  readonly duration: Ticks;
  readonly notes: readonly {
    readonly id: string;
    readonly pitch: Pitch;
    readonly hand: Hand;
    readonly fixed?: boolean;
  }[];
  readonly dynamic: Dynamic;
}

/** A chord symbol over the staff. */
export interface HarmonyMark {
  readonly onset: Ticks;
  /** As the user typed it. */
  readonly text: string;
  readonly root: { readonly letter: Letter; readonly alter: number } | null;
  readonly bass: { readonly letter: Letter; readonly alter: number } | null;
  /** MusicXML kind value (`dominant`, `minor-seventh`, …), 'none' for N.C. */
  readonly kind: string;
  readonly degrees: readonly {
    readonly value: number;
    readonly alter: number;
    readonly type: 'add' | 'alter' | 'subtract';
  }[];
}

/** Strings are silenced at this instant: all, or those below a string index. */
export interface Damp {
  readonly onset: Ticks;
  readonly below?: number;
}

/** A deliberate pedal slide: the string of `pluck` still rings when its pedal moves, and is heard to bend to `to`. */
export interface Slide {
  readonly id: string;
  /** The pluck that rings: an earlier onset on the same letter and octave. */
  readonly pluck: string;
  /** When the pedal stands anew. */
  readonly onset: Ticks;
  /** The pitch arrived at: letter and octave of the pluck, another inflection. */
  readonly to: Pitch;
}

/** A growing or fading dynamic between two instants. */
export interface Hairpin {
  readonly from: Ticks;
  readonly to: Ticks;
  readonly kind: 'crescendo' | 'diminuendo';
}

/** A key signature that begins at a bar line. */
export interface KeyChange {
  readonly onset: Ticks;
  /** -7 … 7. */
  readonly fifths: number;
}

/** A rehearsal mark (letter or number) at a bar line. */
export interface Rehearsal {
  readonly onset: Ticks;
  readonly text: string;
}

/** Words in the part that are neither pedal, technique, dynamic nor tempo: 'dolce', a cue, a name. */
export interface Words {
  readonly onset: Ticks;
  readonly text: string;
  readonly staff?: 1 | 2;
}

/** The repeat signs of a written bar, where the bars of a passage are those of a score with its repeats played. */
export interface WrittenBar {
  readonly number: string;
  readonly repeatStart?: boolean;
  /** The bar ends a repeat that is played this often in all. */
  readonly repeatEnd?: number;
  /** Passes in which the bar is played: it stands under a volta. */
  readonly ending?: readonly number[];
  readonly segno?: boolean;
  readonly coda?: boolean;
  /** At the bar's end. */
  readonly jump?: 'dacapo' | 'dalsegno';
  readonly toCoda?: boolean;
  readonly fine?: boolean;
}

export interface Passage {
  readonly title: string;
  readonly composer?: string;
  readonly bars: readonly Bar[];
  readonly tempo: readonly TempoChange[];
  /** Fifths of the key signature printed, -7 … 7. */
  readonly fifths: number;
  /** Sorted by onset, then from low to high. */
  readonly plucks: readonly Pluck[];
  readonly rolls: readonly Roll[];
  readonly sweeps: readonly Sweep[];
  readonly trembles: readonly Tremble[];
  readonly chords: readonly HarmonyMark[];
  readonly damps: readonly Damp[];
  /** Key signatures after the first, by onset. */
  readonly keys?: readonly KeyChange[];
  readonly slides?: readonly Slide[];
  readonly hairpins?: readonly Hairpin[];
  readonly rehearsals?: readonly Rehearsal[];
  readonly words?: readonly Words[];
  /** The written bars that `bars` were unfolded from; `Bar.written` counts in it. */
  readonly form?: readonly WrittenBar[];
  /** Ids of plucks that a piano part marks staccato. */
  readonly staccato?: readonly string[];
  /** Where a piano part holds its sustaining pedal, by onset. */
  readonly sustain?: readonly { readonly from: Ticks; readonly to: Ticks }[];
}

/** End of the last bar; 0 for a passage without bars. */
export function passageEnd(p: Passage): Ticks {
  const bar = p.bars.at(-1);
  return (bar === undefined ? 0 : bar.start + bar.length) as Ticks;
}
