/** How a string that sounds is drawn: its swing dies away, and ends at once where it is damped. Times in seconds. */

import { TOP_STRING } from '../harp/strings';

/** Low strings ring long, high ones briefly (common practice; drawn shorter than they sound, so that a texture stays readable). */
export const decayOf = (string: number): number => 1.5 - (1.1 * string) / TOP_STRING;

/** Below this a string is drawn at rest. */
export const REST = 0.04;
const DAMP = 0.06;

/** Size of the swing, 1 at the pluck; `heldFor` is when it is damped, or null. */
export function swing(string: number, age: number, heldFor: number | null): number {
  const free = Math.exp(-Math.max(0, age) / decayOf(string));
  return heldFor === null || age <= heldFor ? free : free * Math.exp(-(age - heldFor) / DAMP);
}

/** Where the middle of the string is, −1 … 1 of its size: seven to eleven turns a second, slow enough to be seen. */
export const phase = (string: number, age: number): number =>
  Math.cos(2 * Math.PI * (7 + (4 * string) / TOP_STRING) * age);
