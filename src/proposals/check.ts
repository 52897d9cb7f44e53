/** A part that somebody brings, held against every rule: by its own pedal marks where it has them, else as printed. */

import type { Problem } from '../base/problem';
import type { Ticks } from '../base/units';
import { CONCERT_HARP, type Instrument } from '../harp/instrument';
import type { PlannedPassage } from '../harp/planned';
import { NATURAL_SETTING } from '../harp/setting';
import type { Passage } from '../music/passage';
import { assignHandsInSteps } from '../playability/hands';
import { PART_RULES, judgeInSteps, problemOrder } from '../playability/judge';
import { DEFAULT_LIMITS } from '../playability/limits';
import { indexPassage } from '../playability/passage-index';
import { rule as clash } from '../playability/rules/clash';
import { markProblems } from './check-marks';
import { harmonyDamping } from './check-damping';
import { harpOnly } from './check-doubling';
import { drawTogether } from './check-merge';
import { settingProblems } from './check-settings';
import { unsuited } from './check-unsuited';
import { planAsPrinted } from './check-printed';
import { type PedalMarks, firstOnset, planFromChanges, planFromMarks } from './marks';

export interface PartToCheck {
  readonly passage: Passage;
  /** Pedal diagrams and pedal words found in the part. */
  readonly markings: PedalMarks;
  /** As the file names it: tells that its player takes another instrument as well. */
  readonly partName?: string;
}

export interface CheckReport {
  /** The part as it would be played: with its own marks, or with the plan that its spelling asks for. */
  readonly planned: PlannedPassage;
  /** Sorted by onset, errors before warnings at one onset. */
  readonly problems: readonly Problem[];
  /** Instants at which something is struck. */
  readonly onsets: number;
  /** Whose pedals were judged: the part's own marks, or those that its spelling asks for (it has none, or hardly any). */
  readonly pedals: 'marked' | 'as-printed';
  /** Where the hands come from: the part, or a search for a division that works. */
  readonly hands: 'given' | 'searched';
  /** The part gives no tempo, so what depends on time was measured at ♩ = 90. */
  readonly tempoAssumed: boolean;
}

/** Instants at which a pluck, sweep or tremble begins. */
export function countOnsets(passage: Passage): number {
  const onsets = new Set<Ticks>();
  for (const list of [passage.plucks, passage.sweeps, passage.trembles])
    for (const x of list) onsets.add(x.onset);
  return onsets.size;
}

const idsIn = (p: Problem): readonly string[] => (p.where.kind === 'music' ? p.where.ids : []);
const onsetOf = (p: Problem): number => (p.where.kind === 'music' ? p.where.onset : 0);

/** Several findings of one rule about the same notes are one. */
function distinct(problems: readonly Problem[]): Problem[] {
  const seen = new Map<string, Problem>();
  for (const p of problems) {
    const key = `${p.code} ${String(p.detail?.['kind'] ?? '')} ${onsetOf(p)} ${[...idsIn(p)].sort().join(' ')}`;
    if (!seen.has(key)) seen.set(key, p);
  }
  return [...seen.values()];
}

interface Pedals {
  readonly planned: PlannedPassage;
  readonly problems: readonly Problem[];
  readonly from: CheckReport['pedals'];
}

/** The clashes of a passage as it is printed: what is respelt or left out later is named here. */
function printedClashes(passage: Passage, instrument: Instrument): Problem[] {
  const planned = { passage, instrument, start: NATURAL_SETTING, moves: [], tuning: {} };
  return clash.check({ planned, limits: DEFAULT_LIMITS, index: indexPassage(planned) });
}

function pedalsOf(passage: Passage, marks: PedalMarks, instrument: Instrument): Pedals {
  const marked = planFromMarks(passage, marks, instrument);
  if (marked !== null) return { planned: marked, problems: markProblems(marked, marks), from: 'marked' };
  const changes = planFromChanges(passage, marks, instrument);
  if (changes !== null) {
    const problems = markProblems(changes, marks);
    const absent = problems.filter((p) => p.detail?.['kind'] === 'missing').length;
    // A word or two in a part that leaves its pedals to the player is no plan.
    if (absent <= marks.moves.length + marks.settings.length) {
      return { planned: changes, problems, from: 'marked' };
    }
  }
  const printed = planAsPrinted(passage, instrument);
  const problems = [...printedClashes(passage, instrument), ...printed.problems];
  return { planned: printed.planned, problems, from: 'as-printed' };
}

/** Notes in a hundred that may lie off the instrument before one asks whether the part is for the harp at all. */
const MANY_OUTSIDE = 20;

/** A remark on the whole part where many notes lie off the instrument: another instrument's part, or a wrong clef. */
function notForHarp(passage: Passage, judged: readonly Problem[]): Problem[] {
  const outside = judged.filter((p) => p.code === 'range');
  const [first] = outside;
  const notes = passage.plucks.length + passage.trembles.reduce((sum, t) => sum + t.notes.length, 0);
  const share = Math.floor((100 * outside.length) / Math.max(1, notes));
  if (first === undefined || share <= MANY_OUTSIDE) return [];
  return [
    {
      code: 'part-not-harp',
      severity: 'warning',
      where: { kind: 'music', onset: onsetOf(first) as Ticks, ids: [] },
      value: share,
      limit: MANY_OUTSIDE,
      unit: 'notes in a hundred',
      source: 'common practice',
    },
  ];
}

/** What the comparison of marks and notes says better than the rule, which takes every note by itself. */
const saidByMarks = (p: Problem): boolean => p.code === 'wrong-pedal' && p.detail?.['kind'] === 'pluck';

/**
 * Judges a part in steps: yields the share done (0 to 1) between them, and returns the report. Whoever drives it
 * may show progress, let other work through, or stop. Never fails: what cannot be played is in the report. Time and
 * memory grow in proportion to the length of the part (but for sorting).
 */
export function* checkInSteps(
  part: PartToCheck,
  instrument: Instrument = CONCERT_HARP,
): Generator<number, CheckReport> {
  yield 0;
  const own = harpOnly(part.passage, part.partName ?? '');
  const searched = own.passage.plucks.some((p) => p.hand === null);
  const hands = assignHandsInSteps(own.passage);
  let passage = own.passage;
  for (;;) {
    const step = hands.next();
    if (step.done === true) {
      passage = step.value;
      break;
    }
    yield step.value * 0.3;
  }
  yield 0.3;
  const { planned, problems, from } = pedalsOf(passage, part.markings, instrument);
  yield 0.5;
  const rules = judgeInSteps(planned, DEFAULT_LIMITS, PART_RULES);
  let judged: Problem[] = [];
  for (;;) {
    const step = rules.next();
    if (step.done === true) {
      judged = step.value;
      break;
    }
    yield 0.5 + step.value / 2;
  }
  if (from === 'marked') judged = judged.filter((p) => !saidByMarks(p));
  const spoken = new Set(judged.filter((p) => p.code === 'damping').map(onsetOf));
  const ringing = harmonyDamping(planned, spoken);
  const settings = settingProblems(planned, part.markings, from);
  const each = distinct([
    ...own.problems,
    ...problems,
    ...settings,
    ...judged,
    ...ringing,
    ...notForHarp(passage, judged),
  ]);
  const found = drawTogether(each, planned.passage);
  const whole = unsuited(found, planned.passage);
  const all = [...found, ...(whole === null ? [] : [whole])].sort(problemOrder);
  return {
    planned: { ...planned, passage: own.whole(planned.passage) },
    problems: all,
    onsets: countOnsets(passage),
    pedals: from,
    hands: searched ? 'searched' : 'given',
    tempoAssumed: passage.tempo.length === 0 && firstOnset(passage) < Infinity,
  };
}

/** Judges a part in one go. */
export function checkPart(part: PartToCheck, instrument: Instrument = CONCERT_HARP): CheckReport {
  const steps = checkInSteps(part, instrument);
  for (;;) {
    const step = steps.next();
    if (step.done === true) return step.value;
  }
}
