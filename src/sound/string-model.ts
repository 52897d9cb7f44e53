/** The string as physics: stiffness, damping and pluck place of each harp string, interpolated from a table. */

import type { StringIndex } from '../harp/strings';
import { stringFrequency } from './tuning';

/** Decay by 60 dB is a decay by this many nepers: ln 1000. */
export const NEPERS_60 = 6.907755278982137;

export interface StringModel {
  /** Inharmonicity B of a stiff string (Fletcher & Rossing, The Physics of Musical Instruments, ch. 2). */
  readonly stiffness: number;
  /** Damping σ = base + slope·f² in nepers a second (Woodhouse 2004, plucked-string models). */
  readonly dampingBase: number;
  readonly dampingSlope: number;
  /** Where the finger plucks, as a fraction of the string from the soundboard. */
  readonly pluckOrdinary: number;
  readonly pluckTable: number;
}

type Row = readonly [
  string: number,
  fundamental: number,
  tenth: number,
  b: number,
  beta: number,
  table: number,
];

/**
 * Anchors: string index, T60 of partial 1 and of partial 10 in seconds, B, pluck fractions.
 * Common practice (starting values tuned by ear); the ranges are: wound C1–G2 9–12 s and 3 s; A2–B3 5–7 and 1.5;
 * C4–B5 2–4 and 0.8; C6–E6 1–1.5 and 0.35; F6–G7 0.4–0.9 and 0.15. Wire gives way to gut between G2 and A2.
 */
const ROWS: readonly Row[] = [
  [0, 12, 3, 1e-5, 0.4, 0.07],
  [11, 9, 3, 2.5e-5, 0.4, 0.07],
  [12, 7, 1.7, 2.5e-4, 0.4, 0.07],
  [20, 5, 1.25, 3.2e-4, 0.4, 0.07],
  [21, 4, 1, 2.2e-4, 0.42, 0.08],
  [28, 3, 0.8, 3e-4, 0.42, 0.08],
  [34, 2, 0.62, 4e-4, 0.42, 0.08],
  [35, 1.5, 0.42, 5e-4, 0.45, 0.1],
  [37, 1, 0.3, 6e-4, 0.45, 0.1],
  [38, 0.9, 0.19, 6e-4, 0.48, 0.12],
  [46, 0.4, 0.12, 1.1e-3, 0.48, 0.12],
];

/** Partial n of a stiff string tuned so that its first partial is f₀: n·f₀·√((1+Bn²)/(1+B)). */
export const partialFrequency = (f0: number, stiffness: number, n: number): number =>
  n * f0 * Math.sqrt((1 + stiffness * n * n) / (1 + stiffness));

/** The model of a string; indices outside the table take its ends. */
export function stringModel(string: StringIndex): StringModel {
  let i = 0;
  while (i < ROWS.length - 2 && (ROWS[i + 1] as Row)[0] <= string) i++;
  const low = ROWS[i] as Row;
  const high = ROWS[i + 1] as Row;
  const raw = (string - low[0]) / (high[0] - low[0]);
  const t = raw < 0 ? 0 : raw > 1 ? 1 : raw;
  const between = (k: 1 | 2 | 3 | 4 | 5): number => low[k] + t * (high[k] - low[k]);
  const stiffness = between(3);
  const first = stringFrequency(string, 0);
  const tenth = partialFrequency(first, stiffness, 10);
  const sigma1 = NEPERS_60 / between(1);
  const sigma10 = NEPERS_60 / between(2);
  const slope = (sigma10 - sigma1) / (tenth * tenth - first * first);
  return {
    stiffness,
    dampingBase: sigma1 - slope * first * first,
    dampingSlope: slope,
    pluckOrdinary: between(4),
    pluckTable: between(5),
  };
}
