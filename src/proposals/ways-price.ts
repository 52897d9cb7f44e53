/** Where a plan pays for more than its moves: small changes of the notes that are respelt, read badly or ring too loud. */

import { type PlannedPassage, settingAt } from '../harp/planned';
import { stringOf } from '../harp/strings';
import type { Passage, Pluck } from '../music/passage';
import { type Pitch, midiOf } from '../music/pitch';
import type { TermName } from '../pedals/rates';
import type { Spending } from '../pedals/spending';
import type { PlanOptions } from '../pedals/types';
import type { Change } from './changes';
import { type Harmony, harmonyAt } from './harmony-here';
import { type Tried, replacements } from './ways';

const SPELLING: ReadonlySet<TermName> = new Set(['respelt', 'reading', 'flips', 'shape', 'sharps']);
/** A chord of fewer notes is not thinned out. */
const CHORD = 3;

/** Points that each note has a share in: those of its spelling, and of a pedal moved while it rings. */
function paidBy(planned: PlannedPassage, spending: readonly Spending[]): [Pluck, number][] {
  const { plucks } = planned.passage;
  const paid = new Map<Pluck, number>();
  const add = (note: Pluck, points: number): void => void paid.set(note, (paid.get(note) ?? 0) + points);
  for (const { term, onset, points, ids, move } of spending) {
    if (SPELLING.has(term))
      for (const note of plucks)
        if (note.onset === onset && (ids.length === 0 || ids.includes(note.id))) add(note, points);
    if (term !== 'ring' || move === undefined) continue;
    // A string is plucked before its pedal moves, where both are of one instant.
    const rings = ({ pitch, onset: at }: Pluck): boolean =>
      pitch.letter === move.letter && (at < onset || (at === onset && pitch.alter === move.from));
    const last = plucks.findLast(rings)?.onset;
    for (const note of plucks) if (note.onset === last && rings(note)) add(note, points);
  }
  return [...paid].sort(([a, x], [b, y]) => y - x || a.onset - b.onset || midiOf(a.pitch) - midiOf(b.pitch));
}

/** A tone within a chord an octave away, where it stays within: top and bass are heard as before. */
function revoiced(note: Pluck, spelt: Pitch, chord: readonly Pluck[]): Change[] {
  const keys = chord.map((p) => midiOf(p.pitch));
  const [least, most, own] = [Math.min(...keys), Math.max(...keys), midiOf(note.pitch)];
  if (own === least || own === most) return [];
  return [1, -1].flatMap((by): Change[] => {
    const to: Pitch = { ...spelt, octave: spelt.octave + by };
    const key = midiOf(to);
    return key <= least || key >= most || keys.includes(key)
      ? []
      : [{ kind: 'octave', ids: [note.id], from: [note.pitch], to: [to] }];
  });
}

/**
 * Changes of one note tried wherever spelling and ringing strings cost, the dearest place first: left out, another tone of its chord or a
 * tension on a string that stands right, another octave within its chord, spelt as `asked`. Places are numbered after
 * the moves.
 */
export function priceWays(
  asked: Passage,
  planned: PlannedPassage,
  harmonies: readonly Harmony[],
  options: PlanOptions,
  spending: readonly Spending[],
): Tried[] {
  const { plucks } = planned.passage;
  const discless = new Set(options.instrument.discless);
  const dearest = paidBy(planned, spending).filter(([note]) => !discless.has(stringOf(note.pitch)));
  const spelt = new Map(asked.plucks.map((p) => [p.id, p.pitch]));
  const places = [...new Set(dearest.map(([note]) => note.onset))];
  return dearest.flatMap(([note]): Tried[] => {
    const chord = plucks.filter((p) => p.onset === note.onset);
    const harmony = harmonyAt(harmonies, note.onset);
    const standing = settingAt(planned, note.onset);
    const of = { ids: [note.id], from: [note.pitch] };
    const bass = chord[0] === note;
    const degree = harmony?.tones.find((t) => t.pc === midiOf(note.pitch) % 12)?.degree;
    const tones = harmony?.tones.map((t) => t.pc) ?? chord.map((p) => midiOf(p.pitch) % 12);
    // A tension takes no third's place, nor the root's at the bottom.
    const tensions = degree === 3 || (degree === 1 && bass) ? [] : (harmony?.tensions ?? []);
    const other = (wanted: readonly number[], kind: 'replace' | 'tension'): Change[] =>
      replacements([note], planned.passage, standing, wanted, discless)
        .slice(0, 1)
        .map((to): Change => ({ kind, ...of, to }));
    const changes: Change[] = [
      ...revoiced(note, spelt.get(note.id) ?? note.pitch, chord),
      ...other(tones, 'replace'),
      ...other(tensions, 'tension'),
      ...(chord.length >= CHORD && !bass ? [{ kind: 'leave-out', ...of } as const] : []),
    ];
    const place = planned.moves.length + places.indexOf(note.onset);
    return changes.map((change) => ({ onset: note.onset, change, place, harmony }));
  });
}
