/** A melody as the user writes it. */

import type { Result } from '../base/result';
import { type MelodyNote, parseMelody } from '../figures/melody';

/** The melody of a text; null where it is empty. */
export const melodyOf = (text: string): Result<readonly MelodyNote[]> | null =>
  text.trim() === '' ? null : parseMelody(text);
