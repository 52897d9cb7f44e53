/** Changes that make an unplayable passage playable: one note or chord at a time, else notes left out together. */

import type { Passage, Pluck } from '../music/passage';
import { midiOf } from '../music/pitch';
import { planPassage } from '../pedals/plan';
import type { PlanAnswer, PlanOptions } from '../pedals/types';
import { type Change, withChange } from './changes';
import { type Harmony, harmonyAt } from './harmony-here';
import { type Tried, delayed, delayedAlone, heldOver, respelt } from './ways';

/** Conflicts that are looked at one after another until the rest can be played. */
const MOST_CONFLICTS = 12;
/** Octaves of a discless string or out of range are offered this far away. */
const OCTAVES = [1, -1, 2] as const;

export interface Mending {
  readonly tried: Omit<Tried, 'place'>;
  readonly again: PlanAnswer & { status: 'optimal' | 'planned' };
  readonly passage: Passage;
}

export interface MendingLimits {
  /** Onsets planned in all, and those of the whole passage. */
  readonly work: number;
  readonly onsets: number;
  readonly most: number;
  readonly harmonies: readonly Harmony[];
}

const leaving = (notes: readonly Pluck[]): Change => ({
  kind: 'leave-out',
  ids: notes.map((p) => p.id),
  from: notes.map((p) => p.pitch),
});

/** Every way out for one note of a conflict, the gentlest first. */
function waysOut(
  passage: Passage,
  note: Pluck,
  options: PlanOptions,
  harmonies: readonly Harmony[],
): Change[] {
  const spelt = respelt([note], options);
  const keys = new Set(
    passage.plucks.filter((p) => p.onset === note.onset && p.id !== note.id).map((p) => midiOf(p.pitch)),
  );
  const octaves = OCTAVES.map((by) => ({ ...note.pitch, octave: note.pitch.octave + by })).filter(
    (p) => !keys.has(midiOf(p)),
  );
  return [
    ...(spelt === null ? [] : [spelt]),
    ...octaves
      .slice(0, 2)
      .map((p): Change => ({ kind: 'octave', ids: [note.id], from: [note.pitch], to: [p] })),
    ...[delayedAlone(passage, note), delayed(passage, note.onset)].filter((c) => c !== null),
    leaving([note]),
    ...heldOver(passage, harmonies, note.onset),
  ];
}

/** What works, at most `most`: every one has been planned. Empty where twelve conflicts were not enough. */
export function mendings(
  passage: Passage,
  options: PlanOptions,
  answer: PlanAnswer & { status: 'unplayable' },
  limits: MendingLimits,
): Mending[] {
  const { harmonies, onsets, most } = limits;
  const byId = new Map(passage.plucks.map((p) => [p.id, p]));
  let { work } = limits;
  const out: Mending[] = [];
  const tried = new Set<string>();
  const attempt = (change: Change): void => {
    const key = JSON.stringify(change);
    if (tried.has(key) || out.length >= most) return;
    tried.add(key);
    work -= onsets;
    if (work < 0) return;
    const changed = withChange(passage, change);
    const again = planPassage(changed, options);
    if (again.status === 'unplayable') return;
    const { onset } = byId.get(change.ids[0] as string) as Pluck;
    const harmony = harmonyAt(harmonies, onset);
    out.push({ tried: { onset, change, harmony }, again, passage: changed });
  };
  const notes = answer.conflict.flatMap((id) => byId.get(id) ?? []);
  // Where the passage fails even without these notes, no change of them alone can mend it.
  const others = planPassage(withChange(passage, leaving(notes)), options).status === 'unplayable';
  const ways = others ? [] : notes.map((note) => waysOut(passage, note, options, harmonies));
  for (let i = 0; ways.some((w) => i < w.length); i++)
    for (const way of ways) if (way[i] !== undefined) attempt(way[i] as Change);
  if (out.length > 0) return out;
  const dropped: Pluck[] = [];
  let now: PlanAnswer = answer;
  for (let i = 0; i < MOST_CONFLICTS && now.status === 'unplayable'; i++) {
    const last = now.conflict.flatMap((id) => byId.get(id) ?? []).at(-1);
    if (last === undefined) return out;
    dropped.push(last);
    now = planPassage(withChange(passage, leaving(dropped)), options);
  }
  dropped.sort((a, b) => a.onset - b.onset);
  if (now.status !== 'unplayable') {
    work = onsets;
    attempt(leaving(dropped));
  }
  return out;
}
