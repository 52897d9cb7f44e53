/** What the rules share: groups by onset and hand, names of ids, octaves. */

import { type Ticks } from '../../base/units';
import { LANDMARKS } from '../../harp/registers';
import type { Hand, Pluck } from '../../music/passage';
import { midiOf, octaveShift } from '../../music/pitch';
import type { BarView, Difficulty, Rewrite } from '../types';

/** Keys below C3, where strings blur and repeat slowly. */
export const LOW_KEY = 48;
export const LOW_STRING = LANDMARKS.lowBlur.string;

export const handOf = (p: Pluck): Hand => p.hand ?? (midiOf(p.pitch) >= 60 ? 'R' : 'L');

/** Plucks of one hand of the bar, onset by onset, from low to high. */
export function strokes(view: BarView, hand: Hand): Pluck[][] {
  const out: Pluck[][] = [];
  for (const p of view.plucks) {
    if (handOf(p) !== hand) continue;
    const last = out.at(-1);
    if (last?.[0]?.onset === p.onset) last.push(p);
    else out.push([p]);
  }
  for (const group of out) group.sort((a, b) => midiOf(a.pitch) - midiOf(b.pitch));
  return out;
}

export const onsetOf = (stroke: readonly Pluck[]): Ticks => (stroke[0] as Pluck).onset;
export const gapUs = (view: BarView, a: readonly Pluck[], b: readonly Pluck[]): number =>
  view.microsAt(onsetOf(b)) - view.microsAt(onsetOf(a));
export const raised = (p: Pluck, octaves: number): Pluck => ({ ...p, pitch: octaveShift(p.pitch, octaves) });

export const ease = (faithful: number, idiomatic: number, easy: number): Record<Difficulty, number> => ({
  faithful,
  idiomatic,
  easy,
});

/** A rewrite of this bar, named by the rule and the tick in the bar. */
export function rewrite(
  view: BarView,
  rule: { readonly code: string; readonly source: string },
  onset: Ticks,
  what: Omit<Rewrite, 'id' | 'code' | 'bar' | 'onset' | 'source'>,
  tag = '',
): Rewrite {
  const id = `${rule.code}@${view.bar.index}.${onset - view.bar.start}${tag}`;
  return { id, code: rule.code, bar: view.bar.index, onset, source: rule.source, ...what };
}

/** Stretches of strokes in which every neighbouring pair passes a test; at least `least` strokes long. */
export function stretches(
  all: readonly Pluck[][],
  least: number,
  test: (a: readonly Pluck[], b: readonly Pluck[], i: number) => boolean,
): Pluck[][][] {
  const out: Pluck[][][] = [];
  let run: Pluck[][] = [];
  all.forEach((s, i) => {
    const before = all[i - 1];
    if (before !== undefined && run.length > 0 && test(before, s, i)) run.push(s);
    else {
      if (run.length >= least) out.push(run);
      run = [s];
    }
  });
  if (run.length >= least) out.push(run);
  return out;
}
