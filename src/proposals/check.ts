/** A part that somebody brings, held against every rule: by its own pedal marks where it has them, else as printed. */

import type { Problem } from '../base/problem';
import type { Ticks } from '../base/units';
import { CONCERT_HARP, type Instrument } from '../harp/instrument';
import type { PlannedPassage } from '../harp/planned';
import { NATURAL_SETTING } from '../harp/setting';
import type { Passage } from '../music/passage';
import { defaultPlanOptions, planPassage } from '../pedals/plan';
import { assignHands } from '../playability/hands';
import { judge } from '../playability/judge';
import { type PedalMarks, planFromMarks } from './marks';

export interface PartToCheck {
  readonly passage: Passage;
  /** Pedal diagrams and pedal words found in the part. */
  readonly markings: PedalMarks;
}

export interface CheckReport {
  /** The part as it would be played: with its own marks, or with the plan that its spelling asks for. */
  readonly planned: PlannedPassage;
  /** Sorted by onset, errors before warnings at one onset. */
  readonly problems: readonly Problem[];
  /** Instants at which something is struck. */
  readonly onsets: number;
}

/** Instants at which a pluck, sweep or tremble begins. */
export function countOnsets(passage: Passage): number {
  return new Set([...passage.plucks, ...passage.sweeps, ...passage.trembles].map((x) => x.onset)).size;
}

const fixAll = (passage: Passage, but: ReadonlySet<string>): Passage => ({
  ...passage,
  plucks: passage.plucks.map((p) => ({ ...p, fixed: !but.has(p.id) })),
  trembles: passage.trembles.map((t) => ({
    ...t,
    notes: t.notes.map((n) => ({ ...n, fixed: !but.has(n.id) })),
  })),
});

const without = (passage: Passage, ids: ReadonlySet<string>): Passage => ({
  ...passage,
  plucks: passage.plucks.filter((p) => !ids.has(p.id)),
  sweeps: passage.sweeps.filter((s) => !ids.has(s.id)),
  trembles: passage.trembles
    .map((t) => ({ ...t, notes: t.notes.filter((n) => !ids.has(n.id)) }))
    .filter((t) => t.notes.length > 0 && !ids.has(t.id)),
  rolls: passage.rolls.map((r) => ({ ...r, plucks: r.plucks.filter((id) => !ids.has(id)) })),
});

/**
 * A plan that keeps the printed spelling wherever it can. Notes whose spelling cannot be kept are named and
 * respelt; notes that cannot be played at all are named and left out, so that the rest is still judged.
 */
function planAsPrinted(
  passage: Passage,
  instrument: Instrument,
): { planned: PlannedPassage; problems: Problem[] } {
  const loose = new Set<string>();
  const dropped = new Set<string>();
  const problems: Problem[] = [];
  for (;;) {
    const trial = fixAll(without(passage, dropped), loose);
    const answer = planPassage(trial, { ...defaultPlanOptions, aim: 'fewest', instrument });
    if (answer.status !== 'unplayable') return { planned: answer.planned, problems };
    problems.push(...answer.problems);
    const stuck = answer.conflict.filter((id) => !dropped.has(id));
    const printed = stuck.filter((id) => !loose.has(id));
    if (printed.length > 0) for (const id of printed) loose.add(id);
    else if (stuck.length > 0) dropped.add(stuck.at(-1) as string);
    else {
      const planned = { passage: trial, instrument, start: NATURAL_SETTING, moves: [], tuning: {} };
      return { planned, problems };
    }
  }
}

const at = (p: Problem): Ticks => (p.where.kind === 'music' ? p.where.onset : 0) as Ticks;

/** Several findings of one rule about the same notes are one. */
function distinct(problems: readonly Problem[]): Problem[] {
  const seen = new Map<string, Problem>();
  for (const p of problems) {
    const key = `${p.code} ${at(p)} ${p.where.kind === 'music' ? [...p.where.ids].sort().join(' ') : ''}`;
    if (!seen.has(key)) seen.set(key, p);
  }
  return [...seen.values()];
}

/** Judges a part. Never fails: what cannot be played is in the report. */
export function checkPart(part: PartToCheck, instrument: Instrument = CONCERT_HARP): CheckReport {
  const passage = assignHands(part.passage);
  const marked = planFromMarks(passage, part.markings, instrument);
  const { planned, problems } =
    marked === null ? planAsPrinted(passage, instrument) : { planned: marked, problems: [] };
  const all = distinct([...problems, ...judge(planned)]);
  all.sort((a, b) => at(a) - at(b) || Number(a.severity === 'warning') - Number(b.severity === 'warning'));
  return { planned, problems: all, onsets: countOnsets(passage) };
}
