/** What is wrong in a part, or in a stretch of it: the errors of every rule, and notes that no pedal plan can serve. */

import type { Problem } from '../../base/problem';
import type { Ticks } from '../../base/units';
import type { Instrument } from '../../harp/instrument';
import { type PlannedPassage, settingAt } from '../../harp/planned';
import { NATURAL_SETTING } from '../../harp/setting';
import { stringOf } from '../../harp/strings';
import type { Passage } from '../../music/passage';
import { type Pitch, harpSpellings, midiOf, pitchName, spellingName } from '../../music/pitch';
import { defaultPlanOptions, planPassage } from '../../pedals/plan';
import { frameOf } from '../../pedals/frame';
import { playable } from '../../pedals/playable';
import type { PlanOptions } from '../../pedals/types';
import { RULES, judge } from '../../playability/judge';
import { DEFAULT_LIMITS } from '../../playability/limits';
import { musicProblem } from '../../playability/rule';
import type { PartToCheck } from '../check';
import { planFromMarks } from '../marks';

/** Ticks from `from` up to `to`, the end excluded. */
export interface Stretch {
  readonly from: number;
  readonly to: number;
}

const WHOLE: Stretch = { from: 0, to: Number.MAX_SAFE_INTEGER };

/** What begins in the stretch; bars and tempi stay. */
export function cut(passage: Passage, { from, to }: Stretch): Passage {
  const within = (x: { readonly onset: Ticks }): boolean => x.onset >= from && x.onset < to;
  const plucks = passage.plucks.filter(within);
  const here = new Set(plucks.map((p) => p.id));
  return {
    ...passage,
    plucks,
    rolls: passage.rolls.filter((r) => r.plucks.some((id) => here.has(id))),
    sweeps: passage.sweeps.filter(within),
    trembles: passage.trembles.filter(within),
  };
}

/** A double sign is on no string: it is read as the string that sounds the same. */
const onStrings = (pitch: Pitch): Pitch =>
  Math.abs(pitch.alter) <= 1 ? pitch : (harpSpellings(midiOf(pitch))[0] as Pitch);

function plain(passage: Passage): Passage {
  if (passage.plucks.every((p) => Math.abs(p.pitch.alter) <= 1)) return passage;
  return { ...passage, plucks: passage.plucks.map((p) => ({ ...p, pitch: onStrings(p.pitch) })) };
}

/** The passage as printed: no note may be spelt otherwise. */
export const asPrinted = (passage: Passage): Passage => ({
  ...passage,
  plucks: passage.plucks.map((p) => ({ ...p, fixed: true })),
  trembles: passage.trembles.map((t) => ({ ...t, notes: t.notes.map((n) => ({ ...n, fixed: true })) })),
});

const PEDAL_RULES: ReadonlySet<string> = new Set(['wrong-pedal', 'pedal-time']);
/** Rules that only warn: a search for errors need not ask them. The whole part is held against all in the end. */
const WARNERS: ReadonlySet<string> = new Set([
  'spacing',
  'leap',
  'harmonics',
  'table',
  'etouffe',
  'bisbigliando',
]);
const MARKED_RULES = RULES.filter((rule) => !WARNERS.has(rule.code));
const HAND_RULES = MARKED_RULES.filter((rule) => !PEDAL_RULES.has(rule.code));

const severe = (problems: readonly Problem[]): Problem[] => problems.filter((p) => p.severity === 'error');

/** The options under which a part without pedal marks must have a plan. */
export const planOptions = (instrument: Instrument): PlanOptions => ({
  ...defaultPlanOptions,
  aim: 'fewest',
  instrument,
});

/** Notes on strings without discs that are tuned otherwise for the whole part. */
function disclessFaults(
  passage: Passage,
  instrument: Instrument,
  tuning: PlannedPassage['tuning'],
): Problem[] {
  return passage.plucks.flatMap((p) => {
    const string = stringOf(p.pitch);
    const stands = tuning[string];
    if (!instrument.discless.includes(string) || stands === undefined || p.pitch.alter === stands) return [];
    const { letter } = p.pitch;
    const found = {
      value: pitchName(p.pitch),
      limit: spellingName(letter, stands),
      source: instrument.source,
    };
    return [musicProblem('wrong-pedal', 'error', p.onset, [p.id], found, { kind: 'discless', letter })];
  });
}

/**
 * Errors that need no pedals to be seen: fingers, spans, strings, speed. Hands must be given; `tuning` is what
 * strings without discs are tuned to.
 */
export function handFaults(
  passage: Passage,
  instrument: Instrument,
  tuning: PlannedPassage['tuning'],
): Problem[] {
  const read = plain(passage);
  const planned = { passage: read, instrument, start: NATURAL_SETTING, moves: [], tuning };
  return [...severe(judge(planned, DEFAULT_LIMITS, HAND_RULES)), ...disclessFaults(read, instrument, tuning)];
}

/** True where some pedal plan serves every note as it is printed. */
export function hasPlan(passage: Passage, instrument: Instrument): boolean {
  if (passage.plucks.length + passage.sweeps.length + passage.trembles.length === 0) return true;
  const printed = asPrinted(passage);
  return playable(printed, frameOf(printed, planOptions(instrument)));
}

/** The first minimal set of notes that no plan serves together, as an error; none where there is a plan. */
export function pedalFaults(passage: Passage, instrument: Instrument): Problem[] {
  if (hasPlan(passage, instrument)) return [];
  const answer = planPassage(asPrinted(passage), planOptions(instrument));
  return answer.status === 'unplayable' ? severe(answer.problems) : [];
}

/** The plan that marks give, cut to a stretch: set as it stands there, with the moves of the stretch. */
export function markedStretch(
  plan: PlannedPassage,
  passage: Passage,
  { from, to }: Stretch = WHOLE,
): PlannedPassage {
  return {
    ...plan,
    passage: plain(passage),
    start: from <= 0 ? plan.start : settingAt(plan, (from - 1) as Ticks),
    moves: plan.moves.filter((m) => m.onset >= from && m.onset < to),
  };
}

/** Errors of a stretch of a part with plain pedal marks; `passage` is what is struck there. */
export function markedFaults(
  part: Pick<PartToCheck, 'markings'>,
  passage: Passage,
  stretch: Stretch,
  instrument: Instrument,
  tuning: PlannedPassage['tuning'],
): Problem[] {
  const plan = planFromMarks(passage, part.markings, instrument);
  return plan === null
    ? []
    : severe(judge(markedStretch({ ...plan, tuning }, passage, stretch), DEFAULT_LIMITS, MARKED_RULES));
}

/** The same error at the same notes has the same key. */
export const faultKey = (p: Problem): string =>
  p.where.kind === 'music'
    ? `${p.code} ${p.where.onset} ${[...p.where.ids].sort().join(' ')}`
    : `${p.code} ${JSON.stringify(p.where)}`;

export const onsetOf = (p: Problem): number => (p.where.kind === 'music' ? p.where.onset : 0);
export const idsOf = (p: Problem): readonly string[] => (p.where.kind === 'music' ? p.where.ids : []);
