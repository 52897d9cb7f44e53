/** The planner's door: a passage and its options in, a planned passage with its price and proof out. */

import type { Problem } from '../base/problem';
import type { Move, PlannedPassage } from '../harp/planned';
import type { Position } from '../harp/setting';
import { stringOf } from '../harp/strings';
import type { Passage } from '../music/passage';
import { type Pitch, diatonicIndex } from '../music/pitch';
import { writtenClashes } from './clashes';
import { conflictProblem, findConflict } from './conflict';
import { comfortableTime } from './foot-times';
import { inHarpKey, optionProblems } from './options';
import { type PlanFrame, frameOf } from './frame';
import { type Solution, solve } from './solve';
import { priceOf } from './spending';
import type { PlanAnswer, PlanOptions, PlanPassage } from './types';
import { waysOut } from './ways-out';

export { defaultPlanOptions } from './foot-times';

/** The chosen spelling of every note, by id. */
function spellingsOf(solution: Solution): Map<string, Pitch> {
  const out = new Map<string, Pitch>();
  solution.stops.forEach((stop, i) => {
    const option = solution.options[i];
    if (option === undefined) return;
    const take = (groups: typeof stop.groups, choice: readonly number[]): void => {
      groups.forEach((group, g) => {
        const spelling = group.spellings[choice[g] ?? 0];
        if (spelling !== undefined) for (const id of group.ids) out.set(id, spelling.pitch);
      });
    };
    take(stop.groups, option.struck.choice);
    stop.spans.forEach((span, j) => {
      if (span.onset === stop.onset) take(span.groups, option.spanWays[j]?.choice ?? []);
    });
  });
  return out;
}

const same = (a: Pitch, b: Pitch): boolean =>
  a.letter === b.letter && a.alter === b.alter && a.octave === b.octave;

/** The passage with these spellings; onsets sorted from low to high strings. */
function respell(passage: Passage, spelt: ReadonlyMap<string, Pitch>): Passage {
  let respelt = false;
  const anew = <N extends { readonly id: string; readonly pitch: Pitch }>(note: N): N => {
    const pitch = spelt.get(note.id) ?? note.pitch;
    if (same(pitch, note.pitch)) return note;
    respelt = true;
    return { ...note, pitch };
  };
  const plucks = passage.plucks.map(anew);
  if (respelt) {
    plucks.sort((a, b) => a.onset - b.onset || diatonicIndex(a.pitch) - diatonicIndex(b.pitch));
  }
  const trembles = passage.trembles.map((t) => ({ ...t, notes: t.notes.map(anew) }));
  return { ...passage, plucks, trembles };
}

function usedTuning(solution: Solution, passage: Passage, options: PlanOptions): Record<number, Position> {
  const strings = new Set(
    [...passage.plucks, ...passage.trembles.flatMap((t) => t.notes)].map((n) => stringOf(n.pitch)),
  );
  const out: Record<number, Position> = {};
  for (const string of options.instrument.discless) {
    const swept = passage.sweeps.some(
      (s) => string >= Math.min(s.from, s.to) && string <= Math.max(s.from, s.to),
    );
    if (strings.has(string) || swept)
      out[string] = solution.tuning[string] ?? options.instrument.disclessDefault;
  }
  return out;
}

/** A warning for every move that leaves its foot less than its comfortable time. */
function hasteProblems(moves: readonly Move[], frame: PlanFrame): Problem[] {
  const last: Partial<Record<Move['foot'], Move>> = {};
  const out: Problem[] = [];
  for (const move of moves) {
    const prior = last[move.foot];
    last[move.foot] = move;
    if (prior === undefined) continue;
    const gap = frame.clock.microsAt(move.onset) - frame.clock.microsAt(prior.onset);
    const comfort = comfortableTime(frame.times, prior.letter, move.letter, Math.abs(move.to - move.from));
    if (gap >= comfort) continue;
    out.push({
      code: 'pedal-haste',
      severity: 'warning',
      where: { kind: 'music', onset: move.onset, ids: [] },
      value: gap / 1_000_000,
      limit: comfort / 1_000_000,
      unit: 's',
      source: 'Volpé Bligh, Writing for the Pedal Harp; times of reaches common practice',
      detail: { foot: move.foot, letter: move.letter, from: move.from, to: move.to, last: prior.letter },
    });
  }
  return out;
}

/**
 * Plans a passage. `fewest` is exact in moves and lets the practical price break ties; `practical` lets the rates
 * of MODEL.md decide. Never throws for what stands in the passage: what cannot be played is answered as
 * `unplayable`, with a minimal set of notes that conflict; options that make no sense likewise, with no notes.
 */
export const planPassage: PlanPassage = (asked: Passage, options: PlanOptions): PlanAnswer => {
  const wrong = optionProblems(asked, options);
  if (wrong.length > 0) return { status: 'unplayable', conflict: [], ways: [], problems: wrong };
  const passage = options.fifths === undefined ? asked : inHarpKey(asked, options.fifths);
  const frame = frameOf(passage, options);
  const solution = solve(passage, frame);
  if ('failing' in solution) {
    if (options.explain === false) return { status: 'unplayable', conflict: [], ways: [], problems: [] };
    const conflict = findConflict(passage, frame, solution.failing);
    const ways = waysOut(passage, options, conflict, (rest) =>
      findConflict(rest, frameOf(rest, options), null),
    );
    const problems = [conflictProblem(passage, conflict, options)];
    return { status: 'unplayable', conflict, ways, problems };
  }
  const respelt = respell(passage, spellingsOf(solution));
  const planned: PlannedPassage = {
    passage: respelt,
    instrument: options.instrument,
    start: solution.start,
    moves: solution.moves,
    tuning: usedTuning(solution, respelt, options),
  };
  return {
    status: solution.proven ? 'optimal' : 'planned',
    planned,
    price: priceOf(asked, planned, options),
    lowerBound: solution.leastMoves,
    leastPoints: solution.leastPoints,
    problems: [
      ...writtenClashes(passage, options.instrument, 'warning'),
      ...hasteProblems(solution.moves, frame),
    ],
  };
};
