/** Dynamics: three layers of finger touch that differ in timbre, and the level within a layer. */

import type { Dynamic } from '../music/passage';

/** How the finger leaves the string. */
export type Layer = 'soft' | 'medium' | 'loud';
export const LAYERS: readonly Layer[] = ['soft', 'medium', 'loud'];

export interface Touch {
  /** The finger's softness: partials fall from this multiple of √(f₀ · 200 Hz + 14,000 Hz²). */
  readonly brightness: number;
  /** Level against the loud layer, as an amplitude ratio. */
  readonly level: number;
}

/** Levels −13, −6 and 0 dB. Common practice, tuned by ear. */
export const TOUCH: Readonly<Record<Layer, Touch>> = {
  soft: { brightness: 2.2, level: 0.2239 },
  medium: { brightness: 4, level: 0.5012 },
  loud: { brightness: 7.2, level: 1 },
};

/** The layer of a dynamic and the amplitude ratio within it: ppp −17 dB, pp −13, p −10, mp −8, mf −6, f −3, ff 0, fff +2. */
export const DYNAMIC_LAYER: Readonly<Record<Dynamic, { readonly layer: Layer; readonly gain: number }>> = {
  ppp: { layer: 'soft', gain: 0.631 },
  pp: { layer: 'soft', gain: 1 },
  p: { layer: 'soft', gain: 1.4125 },
  mp: { layer: 'medium', gain: 0.7943 },
  mf: { layer: 'medium', gain: 1 },
  f: { layer: 'loud', gain: 0.7079 },
  ff: { layer: 'loud', gain: 1 },
  fff: { layer: 'loud', gain: 1.2589 },
};
