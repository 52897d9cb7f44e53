/** A pedal plan in time proportional to the notes: good, not proven; for passages too long or dense to be planned exactly. */

import type { PlannedPassage } from '../harp/planned';
import { PEDALS, positionOf } from '../harp/setting';
import type { Passage } from '../music/passage';
import { HARD_SPACING, leastTime } from '../pedals/foot-times';
import { inHarpKey } from '../pedals/options';
import { priceOf } from '../pedals/spending';
import type { PedalPrice, PlanOptions } from '../pedals/types';
import { validatePlan } from '../pedals/validate';
import { clockOf } from './reduce-clock';
import { ownPlan } from './reduce-finish';
import { placeMoves } from './reduce-moves';
import { FREE_PEDALS, pedalBar, pedalHistory, pedalsAt } from './reduce-pedals';
import { type PedalStop, tuningFor } from './reduce-ways';

/** A note left out costs more than any number of moves. */
const NEVER = 1_000_000;

export interface QuickPlan {
  readonly planned: PlannedPassage;
  readonly price: PedalPrice;
}

/** Whether the quick search knows what is asked: no sweeps, slides, locks, end or times of one's own. */
export function isQuick(passage: Passage, options: PlanOptions): boolean {
  return (
    passage.sweeps.length === 0 &&
    (passage.slides ?? []).length === 0 &&
    options.locked === undefined &&
    options.end === null &&
    options.mustSettle !== true &&
    leastTime(options.times) === HARD_SPACING
  );
}

/** The instants of a passage as the pedals see them; each note is worth so much. */
export function stopsOf(passage: Passage, keepSpelling: boolean, worth: number = NEVER): PedalStop[] {
  const at = new Map<PedalStop['onset'], PedalStop['notes'][number][]>();
  const put = (onset: PedalStop['onset'], note: PedalStop['notes'][number]): void => {
    const list = at.get(onset);
    if (list === undefined) at.set(onset, [note]);
    else list.push(note);
  };
  for (const p of passage.plucks) {
    const fixed = keepSpelling || p.fixed === true;
    put(p.onset, { id: p.id, pitch: p.pitch, fixed, worth, until: p.onset });
  }
  for (const t of passage.trembles) {
    for (const n of t.notes) {
      const fixed = keepSpelling || n.fixed === true;
      put(t.onset, { id: n.id, pitch: n.pitch, fixed, worth, until: t.onset + t.duration });
    }
  }
  return [...at].sort(([a], [b]) => a - b).map(([onset, notes]) => ({ onset, notes }));
}

/**
 * Twelve courses of spellings and moves, onset by onset; then every move at the best instant of its window. Answers
 * the plan with its price, held against the independent judge of plans; else the onsets at which a note found no
 * pedal: there may be a plan all the same. Pure, deterministic.
 */
export function quickPlan(
  asked: Passage,
  options: PlanOptions,
): QuickPlan | { readonly lost: readonly string[] } {
  const passage = options.fifths === undefined ? asked : inHarpKey(asked, options.fifths);
  const clock = clockOf(passage);
  const { start, instrument } = options;
  const first = start === null ? FREE_PEDALS : pedalsAt(PEDALS.map((letter) => positionOf(start, letter)));
  const tuning = tuningFor(passage, instrument);
  const courses = pedalBar([first], stopsOf(passage, options.keepSpelling), clock, instrument, tuning, 1);
  const history = pedalHistory(courses.reduce((a, b) => (b.cost < a.cost ? b : a)));
  if (history.dropped.length > 0) return { lost: history.dropped };
  const own = ownPlan(passage, history, instrument, tuning);
  for (const planned of [placeMoves(own, clock), own]) {
    if (validatePlan(asked, planned, options).faults.length > 0) continue;
    return { planned, price: priceOf(asked, planned, options) };
  }
  const last = passage.plucks.at(-1);
  return { lost: last === undefined ? [] : [last.id] };
}
