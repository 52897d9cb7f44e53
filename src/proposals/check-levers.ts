/** A part held against what a lever harp can do: its levers, and the rules of the hands. */

import type { Problem } from '../base/problem';
import type { Instrument, LeverHarp } from '../harp/instrument';
import type { PlannedPassage } from '../harp/planned';
import { keySetting } from '../harp/setting';
import type { Passage } from '../music/passage';
import { defaultLeverOptions, planLevers } from '../pedals/lever-plan';
import { assignHands } from '../playability/hands';
import { PART_RULES, judge, problemOrder } from '../playability/judge';
import { DEFAULT_LIMITS } from '../playability/limits';
import { type CheckReport, countOnsets } from './check';
import { drawTogether } from './check-merge';
import { unsuited } from './check-unsuited';

/** What a rule says about pedals, which a lever harp has not. */
const PEDAL_RULES: ReadonlySet<string> = new Set([
  'wrong-pedal',
  'pedal-time',
  'pedal-haste',
  'clash',
  'ringing',
  'pedal-ring',
  'sharp-key',
  'chromatic',
]);
/** Refusals that are looked for one after another. */
const MOST_REFUSALS = 40;

const without = (p: Passage, ids: ReadonlySet<string>): Passage => ({
  ...p,
  plucks: p.plucks.filter((x) => !ids.has(x.id)),
  sweeps: p.sweeps.filter((x) => !ids.has(x.id)),
  trembles: p.trembles
    .map((t) => ({ ...t, notes: t.notes.filter((n) => !ids.has(n.id)) }))
    .filter((t) => t.notes.length > 0),
});

/** Judges a part for a lever harp. What cannot be played is named, left out, and the rest judged further. */
export function checkLevers(part: Passage, harp: LeverHarp): CheckReport {
  const passage = assignHands(part);
  const problems: Problem[] = [];
  const dropped = new Set<string>();
  let rest = passage;
  for (let i = 0; i < MOST_REFUSALS; i++) {
    const answer = planLevers(rest, { ...defaultLeverOptions, harp });
    if (answer.status !== 'unplayable') {
      rest = answer.plan.passage;
      break;
    }
    problems.push(...answer.problems);
    const last = answer.conflict.at(-1);
    if (last === undefined) break;
    dropped.add(last);
    rest = without(passage, dropped);
  }
  const instrument: Instrument = {
    id: harp.id,
    name: harp.name,
    lowest: harp.lowest,
    highest: harp.highest,
    discless: [],
    disclessDefault: 0,
    source: harp.source,
  };
  const planned: PlannedPassage = {
    passage: rest,
    instrument,
    start: keySetting(harp.levers),
    moves: [],
    tuning: {},
  };
  const hands = judge(planned, DEFAULT_LIMITS, PART_RULES).filter((p) => !PEDAL_RULES.has(p.code));
  const found = drawTogether([...problems, ...hands], rest);
  const whole = unsuited(found, rest);
  return {
    planned,
    problems: [...found, ...(whole === null ? [] : [whole])].sort(problemOrder),
    onsets: countOnsets(passage),
    pedals: 'as-printed',
    hands: part.plucks.every((p) => p.hand !== null) ? 'given' : 'searched',
    tempoAssumed: part.tempo.length === 0,
  };
}
