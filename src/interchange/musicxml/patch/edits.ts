/** What may be changed in a score that somebody brings. */

import type { Technique } from '../../../music/passage';
import type { Letter, Pitch } from '../../../music/pitch';
import type { Position, Setting } from '../../../harp/setting';
import type { NoteSource } from '../read/types';

/** A place in a part: measure of the file from 0, and ticks from its start. */
export interface ScorePlace {
  readonly part: string;
  readonly measure: number;
  readonly at: number;
}

/** `notes` are all sources of one or more plucks (`ReadPart.sources`), the notes of their ties included. */
export type ScoreEdit =
  /** Another spelling, octave or pitch: as the passage spells it, so at string pitch for a harmonic. */
  | { readonly kind: 'pitch'; readonly notes: readonly NoteSource[]; readonly pitch: Pitch }
  /** Printed small and no longer played: in a voice of its own, where one is free; else it goes as by `remove`. */
  | { readonly kind: 'cue'; readonly notes: readonly NoteSource[] }
  /** A note alone becomes a rest; of a chord the rest of it stays. */
  | { readonly kind: 'remove'; readonly notes: readonly NoteSource[] }
  /** Printed on the other staff, in its voice. */
  | { readonly kind: 'staff'; readonly notes: readonly NoteSource[]; readonly staff: 1 | 2 }
  /** Given to another voice, so to the other hand where voices tell the hands apart. */
  | {
      readonly kind: 'voice';
      readonly notes: readonly NoteSource[];
      readonly voice: number;
      readonly staff: 1 | 2;
    }
  /** A roll over these notes, a bracket (`none`), or neither (null). */
  | {
      readonly kind: 'roll';
      readonly notes: readonly NoteSource[];
      readonly direction: 'up' | 'down' | 'none' | null;
    }
  | { readonly kind: 'technique'; readonly notes: readonly NoteSource[]; readonly technique: Technique }
  /** A pedal slide of the string that the notes are on: to this pitch of it. `id` for its small note, where it is free. */
  | {
      readonly kind: 'slide';
      readonly notes: readonly NoteSource[];
      readonly pitch: Pitch;
      readonly id: string;
    }
  /** A let-ring tie at the last of the notes. */
  | { readonly kind: 'ring'; readonly notes: readonly NoteSource[] }
  /** A note at an onset: joins a chord of its voice, takes a rest's time, or stands in the next free voice. */
  | {
      readonly kind: 'add';
      readonly place: ScorePlace;
      readonly duration: number;
      readonly pitch: Pitch;
      readonly voice: number;
      readonly staff: 1 | 2;
      readonly technique?: Technique;
      readonly ring?: boolean;
      /** For the note's `id`, where it is free. */
      readonly id?: string;
    }
  | { readonly kind: 'pedals'; readonly place: ScorePlace; readonly setting: Setting }
  | {
      readonly kind: 'words';
      readonly place: ScorePlace;
      readonly text: string;
      readonly placement: 'above' | 'below';
      readonly staff: 1 | 2;
      readonly italic?: boolean;
    }
  /** A metronome mark that sounds, in thousandths of a quarter note a minute. */
  | { readonly kind: 'tempo'; readonly place: ScorePlace; readonly milliBpm: number }
  /** Takes one pedal out of the words at a place; what else they say stays. */
  | { readonly kind: 'pedal-out'; readonly place: ScorePlace; readonly letter: Letter }
  /** One pedal of the diagram at a place. */
  | {
      readonly kind: 'pedal-set';
      readonly place: ScorePlace;
      readonly letter: Letter;
      readonly to: Position;
    }
  /** Takes out every pedal diagram and pedal word of a part. */
  | { readonly kind: 'clear-pedals'; readonly part: string };
