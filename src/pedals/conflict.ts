/** Why a passage cannot be played: a minimal set of notes, none of which can be dropped. */

import type { Problem } from '../base/problem';
import type { Ticks } from '../base/units';
import type { Passage } from '../music/passage';
import { spellingName } from '../music/pitch';
import { openSpellings } from './demands';
import { type Item, itemsOf, restrict } from './items';
import { lockNames } from './options';
import { type PlanFrame, frameOf } from './frame';
import { type Stretch, failingStretch, playable } from './playable';
import type { PlanOptions } from './types';

/**
 * A minimal set of items that cannot all be played. Fewer notes are never harder, so a short stretch that fails by
 * itself is looked for first; what it holds is then left out in pieces, and at last item by item.
 */
export function findConflict(passage: Passage, frame: PlanFrame, known: Stretch): string[] {
  const items = itemsOf(passage);
  const alone = items.find((i) => unplayableAlone(passage, i.id, frame.options));
  if (alone !== undefined) return [alone.id];
  const fails = (some: readonly Item[]): boolean =>
    some.length > 0 && !playable(restrict(passage, new Set(some.map((i) => i.id))), frame);
  let rest: readonly Item[] = known ?? failingStretch(passage, frame, 2 * items.length) ?? items;
  for (let size = rest.length >> 1; size >= 1; size >>= 1) {
    for (let i = 0; i < rest.length;) {
      const without = [...rest.slice(0, i), ...rest.slice(i + size)];
      if (fails(without)) rest = without;
      else i += size;
    }
  }
  for (const item of rest) {
    const without = rest.filter((x) => x !== item);
    if (fails(without)) rest = without;
  }
  return rest.map((i) => i.id);
}

function unplayableAlone(passage: Passage, id: string, options: PlanOptions): boolean {
  const notes = [...passage.plucks, ...passage.trembles.flatMap((t) => t.notes)];
  const note = notes.find((n) => n.id === id);
  return note !== undefined && openSpellings(note, options).length === 0;
}

/** 'A', 'A and B', 'A, B and C'. */
const spoken = (names: readonly string[]): string =>
  names.length < 2 ? names.join('') : `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`;

/** The problem that a minimal conflict amounts to. */
export function conflictProblem(
  passage: Passage,
  conflict: readonly string[],
  options: PlanOptions,
): Problem {
  const items = itemsOf(passage).filter((i) => conflict.includes(i.id));
  const notes = [...passage.plucks, ...passage.trembles.flatMap((t) => t.notes)].filter((n) =>
    conflict.includes(n.id),
  );
  const names = spoken(
    notes.map((n) => spellingName(n.pitch.letter, n.pitch.alter) + String(n.pitch.octave)),
  );
  const onset = (items[0]?.onset ?? 0) as Ticks;
  const where = { kind: 'music', onset, ids: conflict } as const;
  const detail = { notes: names, last: items.at(-1)?.onset ?? 0 };
  const tuned = notes
    .flatMap((n) => openSpellings(n, options))
    .filter((p) => options.instrument.discless.includes(p.octave * 7 + 'CDEFGAB'.indexOf(p.letter) - 7));
  const { locked, ...unlocked } = options;
  if (locked !== undefined && playable(restrict(passage, new Set(conflict)), frameOf(passage, unlocked))) {
    return {
      code: 'pedal-lock',
      severity: 'error',
      where,
      value: names,
      limit: `notes that sound while ${lockNames(locked)} stay as they are`,
      source: 'common practice',
      detail,
    };
  }
  if (notes.length === 1 && openSpellings(notes[0] as (typeof notes)[number], options).length === 0) {
    return {
      code: 'range',
      severity: 'error',
      where,
      value: names,
      limit: options.instrument.name,
      source: options.instrument.source,
      detail,
    };
  }
  if (tuned.length > 0) {
    return {
      code: 'discless',
      severity: 'error',
      where,
      value: names,
      limit: 'one inflection for the whole part',
      source: options.instrument.source,
      detail,
    };
  }
  if (items.every((i) => i.onset === onset)) {
    return {
      code: 'clash',
      severity: 'error',
      where,
      value: names,
      limit: 'one inflection of each letter at a time',
      source: 'Berlioz, Grand traité d’instrumentation, p. 85',
      detail,
    };
  }
  const { mustSettle, ...hurried } = options;
  if (mustSettle === true && playable(restrict(passage, new Set(conflict)), frameOf(passage, hurried))) {
    return {
      code: 'pedal-time',
      severity: 'error',
      where,
      value: names,
      limit: options.times.settle / 1_000_000,
      unit: 's',
      source: 'common practice',
      detail: { ...detail, kind: 'unsettled' },
    };
  }
  return {
    code: 'pedal-time',
    severity: 'error',
    where,
    value: names,
    limit: 0.25,
    unit: 's',
    source: 'Volpé Bligh, Writing for the Pedal Harp; least time common practice',
    detail,
  };
}
