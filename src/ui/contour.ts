/** A figure's silhouette: time to the right, strings upwards, in the colours of the harp's strings. */

import type { Passage } from '../music/passage';
import { passageEnd } from '../music/passage';
import { stringOf } from '../harp/strings';
import { type StringColour, stringColour } from './harp-shape';

export interface Contour {
  /** SVG path data by colour of string. */
  readonly paths: Readonly<Record<StringColour, string>>;
  /** Glissandi. */
  readonly sweeps: string;
  /** Horizontal places of the bar lines. */
  readonly bars: readonly number[];
}

/** Short strokes for plucks, slanted ones for sweeps, in a box of the given size; the passage's own compass fills it. */
export function contour(passage: Passage, width: number, height: number): Contour {
  const end = Math.max(1, passageEnd(passage));
  const used = [
    ...passage.plucks.map((p) => stringOf(p.pitch)),
    ...passage.sweeps.flatMap((s) => [s.from, s.to]),
    ...passage.trembles.flatMap((t) => t.notes.map((n) => stringOf(n.pitch))),
  ];
  const low = Math.min(...used, 14);
  const high = Math.max(...used, 30);
  const round = (n: number): number => Math.round(n * 10) / 10;
  const x = (tick: number): number => round((tick / end) * width);
  const y = (string: number): number => round(height - 3 - ((string - low) / (high - low)) * (height - 6));
  const paths: Record<StringColour, string> = { c: '', f: '', gut: '' };
  const stroke = (string: number, from: number, to: number): void => {
    const length = Math.max(1.6, Math.min(x(to) - x(from) - 0.8, 9));
    paths[stringColour(string)] += `M${x(from)} ${y(string)}h${round(length)}`;
  };
  for (const p of passage.plucks) stroke(stringOf(p.pitch), p.onset, p.onset + p.duration);
  for (const t of passage.trembles)
    for (const n of t.notes) stroke(stringOf(n.pitch), t.onset, t.onset + t.duration);
  const sweeps = passage.sweeps
    .map((s) => `M${x(s.onset)} ${y(s.from)}L${x(s.onset + s.duration)} ${y(s.to)}`)
    .join('');
  return { paths, sweeps, bars: passage.bars.slice(1).map((bar) => x(bar.start)) };
}
