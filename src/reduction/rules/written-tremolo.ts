/** Two chords or wide notes in fast alternation: a bisbigliando where it is soft, else the chord rolled on each beat. */

import { type Ticks, ticks } from '../../base/units';
import { stringOf } from '../../harp/strings';
import { beatTicks } from '../../music/metre';
import type { Pluck, Roll, Tremble } from '../../music/passage';
import { midiOf } from '../../music/pitch';
import type { Rule } from '../types';
import { ease, gapUs, handOf, onsetOf, rewrite, stretches, strokes } from './helpers';

/** A sixteenth at ♩ = 90 and quicker (common practice). */
const QUICK = 170_000;
const LEAST = 6;
const SOFT = ['ppp', 'pp', 'p'];
/** Strings of a bisbigliando (Goss no. 68). */
const [FEW, MANY] = [3, 8];

/** Every pitch of a run, each once, as struck first. */
function chordOf(run: readonly (readonly Pluck[])[]): Pluck[] {
  const out = new Map<number, Pluck>();
  for (const p of run.flat()) if (!out.has(midiOf(p.pitch))) out.set(midiOf(p.pitch), p);
  return [...out.values()].sort((a, b) => midiOf(a.pitch) - midiOf(b.pitch));
}

export const rule: Rule = {
  code: 'written-tremolo',
  source: 'Goss, 100 Orchestration Tips, no. 68; Einarsdóttir, harp notation manual; common practice',
  find(view) {
    const keys = (s: readonly Pluck[] | undefined): string => (s ?? []).map((p) => midiOf(p.pitch)).join();
    return (['R', 'L'] as const).flatMap((hand) => {
      const all = strokes(view, hand);
      return stretches(all, LEAST, (a, b) => {
        // Seconds in alternation are a trill, in two voices or in one.
        const wide = a.every((p) => b.every((q) => Math.abs(midiOf(p.pitch) - midiOf(q.pitch)) > 2));
        return wide && keys(a) !== keys(b) && gapUs(view, a, b) < QUICK;
      }).flatMap((run) => {
        if (run.some((s, i) => i > 1 && keys(s) !== keys(run[i - 2]))) return [];
        const first = run[0] as Pluck[];
        const last = run.at(-1) as Pluck[];
        const chord = chordOf(run);
        const at = onsetOf(first);
        const end = Math.max(...last.map((p) => p.onset + p.duration));
        const loss = run.flat().reduce((sum, p) => sum + (view.roles.get(p.id)?.worth ?? 0), 0);
        const remove = run.flat().map((p) => p.id);
        // What is heard on top is re-struck less often only for ease, or softly.
        const tops = run.filter((s) => s.some((p) => view.roles.get(p.id)?.top === true)).length;
        const points = ease(0, 4 * tops > run.length ? 0 : loss + 20, loss + 40);
        const struck = chord.map((p) => stringOf(p.pitch));
        const alone = view.plucks.every((p) => handOf(p) === hand || p.onset < at || p.onset >= end);
        const soft = first.every((p) => SOFT.includes(p.dynamic));
        if (
          soft &&
          alone &&
          chord.length >= FEW &&
          chord.length <= MANY &&
          new Set(struck).size === chord.length
        ) {
          const half = chord.length >> 1;
          const tremble: Tremble = {
            id: `${(chord[0] as Pluck).id}.b`,
            onset: at,
            duration: ticks(end - at),
            notes: chord.map((p, i) => ({ id: p.id, pitch: p.pitch, hand: i < half ? 'L' : 'R' })),
            dynamic: (first[0] as Pluck).dynamic,
          };
          return [
            rewrite(
              view,
              rule,
              at,
              { remove, add: [], trembles: [tremble], ease: ease(0, loss + 20, loss + 40) },
              `.${hand}`,
            ),
          ];
        }
        // A hand rolls its own four strings, anew on every beat.
        if (chord.length > 4 || (struck.at(-1) as number) - (struck[0] as number) > 10) return [];
        const beat = beatTicks(view.bar.metre);
        const beats = new Map<number, Pluck[]>();
        for (const s of run) {
          const k = Math.floor((onsetOf(s) - view.bar.start) / beat);
          if (!beats.has(k)) beats.set(k, s);
        }
        const add: Pluck[] = [];
        const rolls: Roll[] = [];
        const own = run.flat();
        for (const [k, s] of beats) {
          const from = onsetOf(s);
          const until = Math.min(end, view.bar.start + (k + 1) * beat);
          const plucks = chord.flatMap((tone): Pluck[] => {
            const named = own.find(
              (p) => p.onset >= from && midiOf(p.pitch) === midiOf(tone.pitch) && p.onset < until,
            );
            if (named === undefined) return [];
            return [{ ...named, onset: from, duration: (until - from) as Ticks }];
          });
          add.push(...plucks);
          if (plucks.length > 1) {
            rolls.push({
              id: `${(plucks[0] as Pluck).id}.roll`,
              plucks: plucks.map((p) => p.id),
              direction: 'up',
            });
          }
        }
        return [rewrite(view, rule, at, { remove, add, rolls, ease: points }, `.${hand}`)];
      });
    });
  },
};
