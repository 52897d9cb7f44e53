/** From what was chosen to a planned passage that the judge passes: spellings and moves set, errors dropped. */

import type { Instrument } from '../harp/instrument';
import type { PlannedPassage } from '../harp/planned';
import { NATURAL_SETTING, PEDALS, type Position, withPosition } from '../harp/setting';
import { stringOf } from '../harp/strings';
import type { Passage, Roll } from '../music/passage';
import { type Pitch, diatonicIndex } from '../music/pitch';
import { judge } from '../playability/judge';
import { writeMusicXml } from '../interchange/musicxml-write';
import { readMusicXml } from '../interchange/musicxml-read';
import { defaultPlanOptions, planPassage } from '../pedals/plan';
import { priceOf } from '../pedals/spending';
import { checkPart } from './check';
import { exactSteps } from './plan-steps';
import type { pedalHistory } from './reduce-pedals';
import type { Tuning } from './reduce-ways';

/** The rolls whose plucks are left: at least two of each. */
export function livingRolls(rolls: readonly Roll[], alive: ReadonlySet<string>): Roll[] {
  const taken = new Set<string>();
  return rolls.flatMap((roll) => {
    const plucks = roll.plucks.filter((id) => alive.has(id) && !taken.has(id));
    if (plucks.length < 2) return [];
    for (const id of plucks) taken.add(id);
    return [{ ...roll, plucks }];
  });
}

function without(planned: PlannedPassage, gone: ReadonlySet<string>): PlannedPassage {
  const plucks = planned.passage.plucks.filter((p) => !gone.has(p.id));
  const alive = new Set(plucks.map((p) => p.id));
  const trembles = planned.passage.trembles.filter((t) => !gone.has(t.id));
  const rolls = livingRolls(planned.passage.rolls, alive);
  return { ...planned, passage: { ...planned.passage, plucks, rolls, trembles } };
}

/** Drops the least note of every error until the judge finds none. */
export function mendByDropping(
  planned: PlannedPassage,
  worth: (id: string) => number,
): { readonly planned: PlannedPassage; readonly dropped: readonly string[] } {
  const dropped: string[] = [];
  let now = planned;
  for (;;) {
    const errors = judge(now).filter((p) => p.severity === 'error');
    if (errors.length === 0) return { planned: now, dropped };
    const gone = new Set<string>();
    for (const e of errors) {
      if (e.where.kind !== 'music' || e.where.ids.some((id) => gone.has(id))) continue;
      const ids = e.where.ids.filter((id) => now.passage.plucks.some((p) => p.id === id));
      const least = ids.reduce<string | null>((a, b) => (a === null || worth(b) < worth(a) ? b : a), null);
      if (least !== null) gone.add(least);
      else for (const t of now.passage.trembles) if (e.where.ids.includes(t.id)) gone.add(t.id);
    }
    if (gone.size === 0) return { planned: now, dropped };
    dropped.push(...gone);
    now = without(now, gone);
  }
}

/** The plan that the search made, as it stands: spellings, moves, the setting before them. */
export function ownPlan(
  passage: Passage,
  pedals: ReturnType<typeof pedalHistory>,
  instrument: Instrument,
  tuned: Tuning,
): PlannedPassage {
  const anew = <N extends { readonly id: string; readonly pitch: Pitch }>(n: N): N => ({
    ...n,
    pitch: pedals.spelt.get(n.id) ?? n.pitch,
  });
  const plucks = passage.plucks.map(anew);
  plucks.sort((a, b) => a.onset - b.onset || diatonicIndex(a.pitch) - diatonicIndex(b.pitch));
  const trembles = passage.trembles.map((t) => ({ ...t, notes: t.notes.map(anew) }));
  const start = PEDALS.reduce(
    (s, letter, i) => withPosition(s, letter, pedals.start[i] as Position),
    NATURAL_SETTING,
  );
  const tuning: Record<number, Position> = {};
  for (const [s, to] of tuned) if (plucks.some((p) => stringOf(p.pitch) === s)) tuning[s] = to;
  return { passage: { ...passage, plucks, trembles }, instrument, start, moves: pedals.moves, tuning };
}

/** Steps (quick-plan.ts) that the exact plan of a reduction may take, a bar. */
const STEPS_A_BAR = 10_000;

/**
 * The same notes with the cheapest pedals, exactly, where that takes no longer than the reduction itself; as they were
 * where it takes longer, is no cheaper, or a rule finds an error in it.
 */
export function plannedAnew(own: PlannedPassage): PlannedPassage {
  const { passage, instrument, moves } = own;
  if (exactSteps(passage, moves.length) > STEPS_A_BAR * passage.bars.length) return own;
  const options = { ...defaultPlanOptions, instrument, explain: false };
  const answer = planPassage(passage, options);
  if (answer.status === 'unplayable') return own;
  if (answer.price.points >= priceOf(passage, own, options).points) return own;
  return judge(answer.planned).some((p) => p.severity === 'error') ? own : answer.planned;
}

/** Times that what is written is read back and judged again. */
const ROUNDS = 8;

/**
 * A file holds onsets on a grid, which can bring notes of a free run too near to each other or to a pedal: what is
 * written is read back and judged by its own pedals, and the least note of every error is left out.
 */
export function holdInFile(
  planned: PlannedPassage,
  worth: (id: string) => number,
): { readonly planned: PlannedPassage; readonly dropped: readonly string[] } {
  const dropped: string[] = [];
  let now = planned;
  for (let i = 0; i < ROUNDS; i++) {
    const back = readMusicXml(writeMusicXml(now, { fingering: false }));
    if (!back.ok) break;
    const errors = checkPart(back.value).problems.filter((p) => p.severity === 'error');
    if (errors.length === 0) break;
    const own = new Set(now.passage.plucks.map((p) => p.id));
    const gone = new Set<string>();
    for (const { where } of errors) {
      if (where.kind !== 'music' || where.ids.some((id) => gone.has(id))) continue;
      const ids = where.ids.filter((id) => own.has(id));
      if (ids.length > 0) gone.add(ids.reduce((a, b) => (worth(b) < worth(a) ? b : a)));
    }
    if (gone.size === 0) break;
    dropped.push(...gone);
    now = without(now, gone);
  }
  return { planned: now, dropped };
}
