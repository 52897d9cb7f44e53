/** A fast chromatic run: the notes of a set seven-note scale, without those between; a glissando where it flies by. */

import { ticks } from '../../base/units';
import { PEDALS, keySetting, positionOf } from '../../harp/setting';
import { stringOf } from '../../harp/strings';
import type { Hand, Pluck, Sweep } from '../../music/passage';
import { midiOf, pitchClass } from '../../music/pitch';
import type { BarView, Rewrite, Rule } from '../types';
import { ease, gapUs, handOf, rewrite, stretches, strokes } from './helpers';

const QUICK = 200_000;
/** Faster than both hands play a scale from hand to hand: its pedals cannot follow either. */
const RACING = 90_000;
/** From here on a hand sweeps: fifteen strings a second, two of three semitones a string (common practice). */
const FLYING = 45_000;
const LEAST = 6;
/** Notes of a run that is worth a glissando: an octave. */
const OCTAVE = 13;
/** Points that a scale or sweep in place of the run costs when it is idiomatic: what the pedals of the run would. */
const STANDS_FOR = 250;

/** The key that stands at a tick, in fifths. */
const fifthsAt = ({ passage }: BarView, at: number): number =>
  (passage.keys ?? []).findLast((k) => k.onset <= at)?.fifths ?? passage.fifths;

function sweepOf(view: BarView, line: readonly Pluck[], hand: Hand): Sweep | null {
  const [first, last] = [line[0] as Pluck, line.at(-1) as Pluck];
  const end = last.onset + last.duration;
  const held = view.plucks.some(
    (p) => handOf(p) === hand && !line.includes(p) && p.onset >= first.onset && p.onset < end,
  );
  const up = midiOf(last.pitch) > midiOf(first.pitch);
  if (held || line.length < OCTAVE) return null;
  const steps = line.every(
    (p, i) => i === 0 || midiOf(p.pitch) > midiOf((line[i - 1] as Pluck).pitch) === up,
  );
  if (!steps) return null;
  return {
    id: `${first.id}.sweep`,
    onset: first.onset,
    duration: ticks(end - first.onset),
    hand,
    from: stringOf(first.pitch),
    to: stringOf(last.pitch),
    settings: [keySetting(fifthsAt(view, first.onset))],
    dynamic: first.dynamic,
  };
}

export const rule: Rule = {
  code: 'chromatic-run',
  source: 'Berlioz, Grand traité d’instrumentation (1844/55), p. 85',
  find(view) {
    const top = (s: readonly Pluck[]): number => midiOf((s.at(-1) as Pluck).pitch);
    return (['R', 'L'] as const).flatMap((hand): Rewrite[] =>
      stretches(
        strokes(view, hand),
        LEAST,
        (a, b) => Math.abs(top(b) - top(a)) === 1 && gapUs(view, a, b) < QUICK,
      ).flatMap((run): Rewrite[] => {
        const line = run.map((s) => s.at(-1) as Pluck);
        const first = line[0] as Pluck;
        const setting = keySetting(fifthsAt(view, first.onset));
        const scale = new Set(PEDALS.map((letter) => pitchClass(letter, positionOf(setting, letter))));
        const between = line
          .slice(1, -1)
          .filter(
            (p) => !scale.has(midiOf(p.pitch) % 12) && !view.chordAt(p.onset).includes(midiOf(p.pitch) % 12),
          );
        const lossOf = (notes: readonly Pluck[]): number =>
          notes.reduce((sum, p) => sum + (view.roles.get(p.id)?.worth ?? 0), 0);
        const gap = gapUs(view, run[0] as Pluck[], run[1] as Pluck[]);
        const out: Rewrite[] = [];
        const sweep = gap <= FLYING ? sweepOf(view, line, hand) : null;
        if (sweep !== null) {
          const loss = lossOf(line);
          const points = ease(0, Math.max(0, loss - STANDS_FOR), loss + 40);
          const what = { remove: line.map((p) => p.id), add: [], sweeps: [sweep], ease: points };
          out.push(rewrite(view, rule, first.onset, { ...what, detail: { as: 'glissando' } }, `.${hand}g`));
        }
        if (between.length >= 2) {
          const loss = lossOf(between);
          const points = ease(0, gap < RACING ? Math.max(0, loss - STANDS_FOR) : 0, loss + 40);
          const what = { remove: between.map((p) => p.id), add: [], ease: points };
          out.push(rewrite(view, rule, first.onset, { ...what, detail: { as: 'scale' } }, `.${hand}`));
        }
        return out;
      }),
    );
  },
};
