/** Chords and progressions as data. */

import type { Problem, TextPlace } from '../base/problem';
import type { Ticks } from '../base/units';
import type { Metre } from '../music/metre';
import type { HarmonyMark } from '../music/passage';
import type { Letter } from '../music/pitch';

export interface Spelling {
  readonly letter: Letter;
  readonly alter: number;
}

export interface ChordTone extends Spelling {
  /** 1, 2, 3, 4, 5, 6, 7, 9, 11, 13: the degree that the symbol names. */
  readonly degree: number;
  /** Pitch class 0–11. */
  readonly pc: number;
}

export interface Chord {
  /** As typed, without surrounding space. */
  readonly text: string;
  readonly root: Spelling;
  /** The slash bass, or null when the root is the bass. */
  readonly bass: Spelling | null;
  /** Tones in order of degree, spelt from the root; the slash bass is not among them unless the symbol has it. */
  readonly tones: readonly ChordTone[];
  /** What the chord does, for scales and voicing. */
  readonly quality:
    'major' | 'minor' | 'dominant' | 'diminished' | 'half-diminished' | 'augmented' | 'suspended' | 'power';
  /** MusicXML `kind` and `degree`s. */
  readonly kind: string;
  readonly degrees: HarmonyMark['degrees'];
}

export interface PlacedChord {
  readonly onset: Ticks;
  readonly duration: Ticks;
  /** null for N.C. */
  readonly chord: Chord | null;
  readonly text: string;
  readonly where: TextPlace;
}

export interface Progression {
  readonly source: string;
  readonly metre: Metre;
  readonly barCount: number;
  /** Contiguous from tick 0 to the end of the last bar; onsets lie on felt beats or even shares of a bar. */
  readonly chords: readonly PlacedChord[];
  /** The key that fits best, or the key given. */
  readonly key: { readonly tonic: Spelling; readonly mode: 'major' | 'minor'; readonly fifths: number };
  /** What did not parse; each such word holds the chord before it (or N.C.) so that the rest still works. */
  readonly problems: readonly Problem[];
}
