/** What a bar is once it is laid out: voices of notes and rests with their values, staves and beams. */

import type { Bar } from '../../../music/metre';
import type { Printed } from './rhythm';
import type { Staff } from './staves';
import type { VoicedEvent } from './voices';

export interface LaidNote extends Printed<VoicedEvent> {
  readonly staff: Staff;
  /** The event began before this note, or goes on after it. */
  readonly tiedFrom: boolean;
  readonly tiedTo: boolean;
  /** Counts the notes of its event: 0 for the first. */
  readonly part: number;
  readonly beams: readonly string[];
  readonly stem: 'up' | 'down' | null;
  /** A rest that only fills its voice. */
  readonly hidden: boolean;
  /** A rest that fills the bar. */
  readonly wholeBar: boolean;
}

export interface LaidVoice {
  readonly voice: number;
  readonly notes: readonly LaidNote[];
}

export interface LaidBar {
  readonly bar: Bar;
  readonly voices: readonly LaidVoice[];
}
