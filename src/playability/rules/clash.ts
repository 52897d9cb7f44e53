/** One string, one alteration: a pedal holds one inflection of its letter at a time, and a string is plucked once. */

import type { Problem } from '../../base/problem';
import { stringOf, stringName } from '../../harp/strings';
import type { Hand, Technique } from '../../music/passage';
import { LETTERS, type Pitch, spellingName } from '../../music/pitch';
import type { Ticks } from '../../base/units';
import { type Rule, musicProblem } from '../rule';

const SOURCE =
  'Berlioz, Grand traité d’instrumentation (1844/55), p. 85; Canton & Overlach, Composing for Harp';

interface Sounded {
  readonly id: string;
  readonly pitch: Pitch;
  readonly hand: Hand | null;
  readonly technique?: Technique;
  /** Printed on a staff of a file: two voices may share a note head. */
  readonly staff?: 1 | 2;
}

/**
 * Whether notes on one string at one onset really ask for more than one stroke. One hand's note written twice is
 * plucked once. A part that is read prints a unison in both hands where two voices meet: one hand plucks it, and
 * nothing is lost. In a passage made here each hand's pluck is a stroke of its own, and two ways of plucking one
 * string (a harmonic and an open note) are two strokes wherever they come from.
 */
function twoStrokes(same: readonly Sounded[]): boolean {
  if (new Set(same.map((n) => n.pitch.alter)).size > 1) return true;
  if (new Set(same.map((n) => n.technique ?? 'ordinary')).size > 1) return true;
  return new Set(same.map((n) => n.hand)).size > 1 && same.some((n) => n.staff === undefined);
}

/** Whether two notes share a letter in two inflections, or a string. */
const meet = (notes: readonly Sounded[]): boolean =>
  notes.some((a, i) =>
    notes.some(
      (b, k) =>
        k > i &&
        a.pitch.letter === b.pitch.letter &&
        (a.pitch.alter !== b.pitch.alter || a.pitch.octave === b.pitch.octave),
    ),
  );

function checkOnset(onset: Ticks, notes: readonly Sounded[], discless: readonly number[]): Problem[] {
  if (!meet(notes)) return [];
  const out: Problem[] = [];
  for (const letter of LETTERS) {
    const same = notes.filter((n) => n.pitch.letter === letter && !discless.includes(stringOf(n.pitch)));
    const alters = [...new Set(same.map((n) => n.pitch.alter))].sort((a, b) => a - b);
    if (alters.length < 2) continue;
    const value = alters.map((alter) => spellingName(letter, alter)).join(' and ');
    const found = { value, limit: `one inflection of ${letter}`, source: SOURCE };
    out.push(
      musicProblem(
        'clash',
        'error',
        onset,
        same.map((n) => n.id),
        found,
        { kind: 'letter', letter },
      ),
    );
  }
  const strings = new Map<number, Sounded[]>();
  for (const n of notes) strings.set(stringOf(n.pitch), [...(strings.get(stringOf(n.pitch)) ?? []), n]);
  for (const [string, same] of strings) {
    if (same.length < 2) continue;
    const alters = new Set(same.map((n) => n.pitch.alter));
    const isDiscless = discless.includes(string);
    if (alters.size > 1 && !isDiscless) continue;
    const hands = new Set(same.map((n) => n.hand));
    const severity = twoStrokes(same) ? 'error' : 'warning';
    const found = { value: same.length, limit: 1, unit: 'plucks', source: SOURCE };
    const detail = { kind: 'string', string: stringName(string), hands: hands.size };
    out.push(
      musicProblem(
        'clash',
        severity,
        onset,
        same.map((n) => n.id),
        found,
        detail,
      ),
    );
  }
  return out;
}

export const rule: Rule = {
  code: 'clash',
  source: SOURCE,
  check({ planned, index }) {
    const { discless } = planned.instrument;
    const trembles = new Map<Ticks, Sounded[]>();
    for (const t of planned.passage.trembles) {
      trembles.set(t.onset, [...(trembles.get(t.onset) ?? []), ...t.notes]);
    }
    const out: Problem[] = [];
    for (const group of index.onsets) {
      const others = trembles.get(group.onset);
      trembles.delete(group.onset);
      if (group.strikes.length < 2 && others === undefined) continue;
      const notes = [...group.strikes.map((s) => s.pluck), ...(others ?? [])];
      out.push(...checkOnset(group.onset, notes, discless));
    }
    for (const [onset, notes] of trembles) out.push(...checkOnset(onset, notes, discless));
    return out;
  },
};
