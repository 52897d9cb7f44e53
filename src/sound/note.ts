/** What the sound engine needs to know of one note that is played. */

import type { Position } from '../harp/setting';
import type { StringIndex } from '../harp/strings';
import type { Dynamic, Hand, Technique } from '../music/passage';

/** One string set sounding at a time in seconds. `harp/performance`'s notes have this shape. */
export interface PlayedNote {
  /** The pluck's, sweep's or tremble note's id: several notes may share one. */
  readonly id: string;
  /** Seconds from the start of the passage. */
  readonly time: number;
  readonly string: StringIndex;
  readonly position: Position;
  readonly technique: Technique;
  readonly dynamic: Dynamic;
  readonly hand: Hand | null;
  /** When the string is damped, in seconds from the start; absent: it rings until it decays or is plucked again. */
  readonly until?: number;
}
