/** A harp part whose pedals are planned anew: the cheapest plan, held against every rule, and as the user's own file. */

import type { Problem } from '../base/problem';
import { type Result, fail, ok } from '../base/result';
import { CONCERT_HARP } from '../harp/instrument';
import { defaultPlanOptions, planPassage } from '../pedals/plan';
import type { PlanAnswer, PlanOptions } from '../pedals/types';
import { type CheckReport, checkPart } from '../proposals/check';
import { marksOfPlan, planFile } from '../proposals/mend/plan-file';
import { type PartQuestion, concert, harpOf, readAsked } from './part-answers';

/** What the plan is asked; the rest of `PlanOptions` is the usual. */
export type PlanAsked = Pick<PlanOptions, 'aim' | 'start'> &
  Partial<Pick<PlanOptions, 'end' | 'keepSpelling' | 'locked' | 'fifths' | 'times' | 'emergencies'>>;

export interface PlanQuestion extends PartQuestion {
  readonly asked: PlanAsked;
}

export interface PlannedPart {
  readonly answer: PlanAnswer;
  /** The part under the plan, held against every rule; null where there is no plan. */
  readonly report: CheckReport | null;
}

const planOptions = (question: PlanQuestion): PlanOptions => ({
  ...defaultPlanOptions,
  ...question.asked,
  instrument: harpOf(question) ?? CONCERT_HARP,
});

/** The cheapest plan of the part, whatever marks it has. Bad input is one problem. */
export function planOpened(question: PlanQuestion): Result<PlannedPart> {
  const found = readAsked(question);
  if (!found.ok) return found;
  const answer = planPassage(found.value.passage, planOptions(question));
  if (answer.status === 'unplayable') return ok({ answer, report: null });
  const { planned } = answer;
  const part = { ...found.value, passage: planned.passage, markings: marksOfPlan(planned) };
  const report = checkPart(part, planned.instrument);
  // What the end asks for no note needs: it is no remark.
  const asked = (p: Problem): boolean =>
    p.code === 'pedal-mark' && p.detail?.['kind'] === 'unused' && (question.asked.end ?? null) !== null;
  return ok({ answer, report: { ...report, problems: report.problems.filter((p) => !asked(p)) } });
}

/** The user's own file with the plan in it: MusicXML bytes. Fails where there is no plan. */
export function plannedFile(question: PlanQuestion): Result<Uint8Array> {
  const found = readAsked(question);
  if (!found.ok) return found;
  const answer = planPassage(found.value.passage, planOptions(question));
  if (answer.status === 'unplayable') return fail(...answer.problems);
  const { how } = question;
  const read = concert(found.value, question);
  const options = {
    kind: 'musicxml' as const,
    ...(how?.harmonics === undefined ? {} : { harmonics: how.harmonics }),
  };
  return ok(planFile(found.value.bytes, read, answer.planned, options));
}
