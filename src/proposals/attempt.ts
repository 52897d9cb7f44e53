/** A draft becomes a proposal, or is refused with reasons: planned, fingered, judged, held against what was asked. */

import type { Problem } from '../base/problem';
import { seededRandom } from '../base/random';
import { ok } from '../base/result';
import { difficulty } from '../figures/difficulty';
import { finger } from '../figures/fingering';
import { maybeSlowed } from '../figures/ritardando';
import type { FigureDraft, FigureFamily } from '../figures/types';
import type { Progression } from '../harmony/types';
import { CONCERT_HARP } from '../harp/instrument';
import { defaultPlanOptions, planPassage } from '../pedals/plan';
import type { PlanOptions } from '../pedals/types';
import { judge } from '../playability/judge';
import { missingTones } from './harmony-kept';
import { withNoteFixesWhere } from './note-fix';
import { withNoteSlidesWhere } from './note-slide';
import { priceOf } from './price';
import { draftRefusals, planRefusals, steeredHarp } from './steer';
import type { Proposal, ProposeRequest, Recipe, Rejection, Texture } from './types';

export type Attempt =
  { readonly ok: true; readonly proposal: Proposal } | { readonly ok: false; readonly rejection: Rejection };

/** Labels made to prove the plan of one proposal of many. */
const PROOF_LIMIT = 25_000;

/** What the pedal plan is asked for a request. */
export const planOptionsOf = (request: ProposeRequest): PlanOptions => ({
  ...defaultPlanOptions,
  ...request.steering?.pedals,
  aim: request.aim,
  start: request.start,
  instrument: request.instrument ?? CONCERT_HARP,
  proofLimit: PROOF_LIMIT,
});

/** The draft of a family under a seed, in the register and at the dynamic asked for. Same arguments, same draft. */
export function draftOf(
  request: ProposeRequest,
  progression: Progression,
  family: FigureFamily,
  seed: string,
): ReturnType<FigureFamily['draft']> {
  const steering = request.steering ?? {};
  const random = seededRandom(seed).fork(family.id);
  const draft = family.draft({
    progression,
    title: request.title,
    milliBpm: request.milliBpm,
    instrument: steeredHarp(request.instrument ?? CONCERT_HARP, steering),
    random,
    ...(steering.dynamic === undefined ? {} : { dynamic: steering.dynamic }),
  });
  if (!draft.ok) return draft;
  return ok({ ...draft.value, passage: maybeSlowed(draft.value.passage, random.fork('close')) });
}

/** Who proposes, and by what recipe. */
export interface Origin extends Texture {
  readonly familyName: string;
  readonly recipe: Recipe;
}

/** Plans, fingers and judges a draft. */
export function finish(
  request: ProposeRequest,
  progression: Progression,
  origin: Origin,
  draft: FigureDraft,
): Attempt {
  const { family, seed, familyName, recipe } = origin;
  const steering = request.steering ?? {};
  const refuse = (problems: readonly Problem[]): Attempt => ({ ok: false, rejection: { family, problems } });
  const unasked = draftRefusals(family, draft.passage, steering);
  if (unasked.length > 0) return refuse(unasked);
  const fixed = withNoteFixesWhere(draft.passage, steering.fixes ?? []);
  const asked = withNoteSlidesWhere(fixed, steering.slides ?? []);
  const answer = planPassage(asked, planOptionsOf(request));
  if (answer.status === 'unplayable') return refuse(answer.problems);
  const planned = finger(answer.planned);
  const remarks = judge(planned);
  const errors = remarks.filter((p) => p.severity === 'error');
  if (errors.length > 0) return refuse(errors);
  const hardness = difficulty(planned);
  const tooMuch = planRefusals(family, planned, hardness, steering);
  if (tooMuch.length > 0) return refuse(tooMuch);
  return {
    ok: true,
    proposal: {
      id: `${family}-${seed}`,
      family,
      familyName,
      variant: draft.variant,
      seed,
      recipe,
      planned,
      difficulty: hardness,
      pedals: answer.price,
      lowerBound: answer.lowerBound,
      optimal: answer.status === 'optimal',
      price: priceOf(answer.price, remarks, draft.craft, missingTones(progression, planned)),
      warnings: remarks,
    },
  };
}

/** One draft of one family as a proposal; `draft` where it is made already. The same arguments give the same. */
export function attempt(
  request: ProposeRequest,
  progression: Progression,
  family: FigureFamily,
  seed: string,
  draft: ReturnType<FigureFamily['draft']> = draftOf(request, progression, family, seed),
): Attempt {
  if (!draft.ok) return { ok: false, rejection: { family: family.id, problems: draft.problems } };
  const texture = { family: family.id, seed };
  const origin = { ...texture, familyName: family.name, recipe: [texture] };
  return finish(request, progression, origin, draft.value);
}
