/** The elements of a bar as plain records, before repeats are unfolded and ties are joined. */

import type { Metre } from '../../../music/metre';
import type { Dynamic, Finger, Hand, HarmonyMark, Technique } from '../../../music/passage';
import type { Pitch } from '../../../music/pitch';
import type { Setting } from '../../../harp/setting';
import type { PedalWord } from './words';

export interface Line {
  readonly type: 'start' | 'stop';
  readonly number: string;
}

export interface RawNote {
  /** Place among the `note` elements of its bar, from 0, rests counted. */
  readonly index: number;
  readonly id: string | null;
  /** Ticks from the bar's start, not yet rounded; a small note's is that of the note after it. */
  readonly at: number;
  /** Ticks, 0 for a small note. */
  readonly length: number;
  readonly pitch: Pitch;
  readonly voice: number;
  readonly staff: 1 | 2;
  readonly chord: boolean;
  readonly grace: boolean;
  readonly tieStart: boolean;
  readonly tieStop: boolean;
  readonly ring: boolean;
  readonly technique: Technique | null;
  readonly finger: Finger | null;
  readonly roll: {
    readonly number: string;
    readonly direction: 'up' | 'down';
    readonly id: string | null;
  } | null;
  readonly bracket: { readonly number: string; readonly id: string | null } | null;
  readonly lines: readonly Line[];
  readonly tremolo: 'single' | 'start' | 'stop' | null;
  readonly staccato: boolean;
  readonly notationsId: string | null;
  readonly loudness: number | null;
  /** The hand that the note itself names: `play/other-play` of type hand. */
  readonly hand: Hand | null;
}

export type RawMark =
  | { readonly kind: 'setting'; readonly at: number; readonly setting: Setting }
  | { readonly kind: 'move'; readonly at: number; readonly word: PedalWord }
  | { readonly kind: 'tempo'; readonly at: number; readonly milliBpm: number; readonly unseen: boolean }
  /** Staff 0 is both. */
  | { readonly kind: 'dynamic'; readonly at: number; readonly staff: 0 | 1 | 2; readonly dynamic: Dynamic }
  | { readonly kind: 'technique'; readonly at: number; readonly staff: 1 | 2; readonly technique: Technique }
  | {
      readonly kind: 'wedge';
      readonly at: number;
      readonly type: 'crescendo' | 'diminuendo' | 'stop';
      readonly number: string;
      readonly bar: string;
    }
  /** The sustaining pedal: `change` lifts and treads at once. */
  | {
      readonly kind: 'sustain';
      readonly at: number;
      readonly type: 'start' | 'stop' | 'change';
      readonly bar: string;
    }
  | { readonly kind: 'rehearsal'; readonly at: number; readonly text: string }
  | { readonly kind: 'words'; readonly at: number; readonly text: string; readonly staff: 1 | 2 }
  /** Words that a note or line below must bear out: hands, glissandi, bisbigliandi. */
  | {
      readonly kind: 'meant';
      readonly at: number;
      readonly what: 'hand' | 'gliss' | 'bisbigliando';
      readonly text: string;
      readonly bar: string;
    }
  | { readonly kind: 'damp'; readonly at: number; readonly below: number | null }
  | { readonly kind: 'chord'; readonly at: number; readonly chord: Omit<HarmonyMark, 'onset'> };

/** Signs that send the player elsewhere, and those that are gone to. */
export interface Jumps {
  readonly segno: boolean;
  readonly coda: boolean;
  /** At the bar's end. */
  readonly jump: 'dacapo' | 'dalsegno' | null;
  readonly toCoda: boolean;
  readonly fine: boolean;
}

export interface RawMeasure {
  /** Place among the bars of the file, from 0. */
  readonly index: number;
  readonly number: string;
  readonly metre: Metre;
  /** Ticks that the voices reach; 0 where the bar is empty. */
  readonly reach: number;
  readonly notes: readonly RawNote[];
  /** Voices and staves in use, rests included. */
  readonly voices: readonly number[];
  readonly staves: readonly (1 | 2)[];
  readonly marks: readonly RawMark[];
  readonly fifths: number;
  readonly repeat: { readonly start: boolean; readonly end: boolean; readonly times: number };
  /** Passes in which the bar is played, or null for all. */
  readonly ending: readonly number[] | null;
  readonly jumps: Jumps;
}
