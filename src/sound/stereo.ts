/** The stereo picture: where a string and a hand stand, and how fast a silenced string falls silent. */

import type { Hand } from '../music/passage';
import { type StringIndex, TOP_STRING } from '../harp/strings';

/** How far the outermost strings stand from the middle. */
const WIDTH = 0.55;
/** The hands stand this much to their own side. */
const HAND = 0.08;

/** Place from −1 (left) to 1 (right): bass strings left, treble right, as the player's hands lie (common practice). */
export function panOf(string: StringIndex, hand: Hand | null): number {
  const place = WIDTH * ((2 * string) / TOP_STRING - 1);
  return place + (hand === 'R' ? HAND : hand === 'L' ? -HAND : 0);
}

/** Gains of left and right with the same power at every place. */
export const panGains = (pan: number): { left: number; right: number } => ({
  left: Math.sqrt((1 - pan) / 2),
  right: Math.sqrt((1 + pan) / 2),
});

/** Seconds in which a re-plucked string's old sound ends under the finger. */
export const REPLUCK_FADE = 0.012;
/** Seconds in which a flat hand silences a string. */
export const DAMP_FADE = 0.1;
