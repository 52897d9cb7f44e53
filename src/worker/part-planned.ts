/** A harp part whose pedals are planned anew: the cheapest plan, held against every rule, and as the user's own file. */

import type { Problem } from '../base/problem';
import { type Result, fail, ok } from '../base/result';
import { CONCERT_HARP, LEVER_HARP } from '../harp/instrument';
import type { Passage } from '../music/passage';
import { defaultLeverOptions, planLevers } from '../pedals/lever-plan';
import type { LeverAnswer } from '../pedals/lever-types';
import { defaultPlanOptions, planPassage } from '../pedals/plan';
import type { PlanAnswer, PlanOptions } from '../pedals/types';
import { assignHands } from '../playability/hands';
import { type CheckReport, checkPart } from '../proposals/check';
import { marksOfPlan, planFile } from '../proposals/mend/plan-file';
import { type NoteSlide, withNoteSlidesWhere } from '../proposals/note-slide';
import { type PartQuestion, concert, harpOf, readAsked } from './part-answers';

/** What the plan is asked; the rest of `PlanOptions` is the usual. */
export type PlanAsked = Pick<PlanOptions, 'aim' | 'start'> &
  Partial<
    Pick<PlanOptions, 'end' | 'keepSpelling' | 'locked' | 'fifths' | 'times' | 'emergencies' | 'mustSettle'>
  >;

export interface PlanQuestion extends PartQuestion {
  /** Pedal slides that the user wrote into the part; one whose note is not there any more asks for nothing. */
  readonly slides?: readonly NoteSlide[];
  readonly asked: PlanAsked;
}

export interface PlannedPart {
  readonly kind: 'pedals';
  readonly answer: PlanAnswer;
  /** The part under the plan, held against every rule; null where there is no plan. */
  readonly report: CheckReport | null;
}

/** The same for a harp with levers: the left hand moves them. */
export interface PlannedLevers {
  readonly kind: 'levers';
  readonly answer: LeverAnswer;
}

/** The passage that is planned. */
const slid = (question: PlanQuestion, passage: Passage): Passage =>
  withNoteSlidesWhere(passage, question.slides ?? []);

const planOptions = (question: PlanQuestion): PlanOptions => ({
  ...defaultPlanOptions,
  ...question.asked,
  instrument: harpOf(question) ?? CONCERT_HARP,
});

/** The cheapest plan of the part, whatever marks it has. Bad input is one problem. */
export function planOpened(question: PlanQuestion): Result<PlannedPart | PlannedLevers> {
  const found = readAsked(question);
  if (!found.ok) return found;
  if (question.harp === LEVER_HARP.id) {
    const keepSpelling = question.asked.keepSpelling === true;
    const answer = planLevers(assignHands(found.value.passage), { ...defaultLeverOptions, keepSpelling });
    return ok({ kind: 'levers', answer });
  }
  const answer = planPassage(slid(question, found.value.passage), planOptions(question));
  if (answer.status === 'unplayable') return ok({ kind: 'pedals', answer, report: null });
  const { planned } = answer;
  const part = { ...found.value, passage: planned.passage, markings: marksOfPlan(planned) };
  const report = checkPart(part, planned.instrument);
  // What the end asks for no note needs: it is no remark.
  const asked = (p: Problem): boolean =>
    p.code === 'pedal-mark' && p.detail?.['kind'] === 'unused' && (question.asked.end ?? null) !== null;
  return ok({
    kind: 'pedals',
    answer,
    report: { ...report, problems: report.problems.filter((p) => !asked(p)) },
  });
}

/** The user's own file with the plan in it: MusicXML bytes. Fails where there is no plan. */
export function plannedFile(question: PlanQuestion): Result<Uint8Array> {
  const found = readAsked(question);
  if (!found.ok) return found;
  const answer = planPassage(slid(question, found.value.passage), planOptions(question));
  if (answer.status === 'unplayable') return fail(...answer.problems);
  const { how } = question;
  const read = concert(found.value, question);
  const options = {
    kind: 'musicxml' as const,
    ...(how?.harmonics === undefined ? {} : { harmonics: how.harmonics }),
  };
  return ok(planFile(found.value.bytes, read, answer.planned, options));
}
