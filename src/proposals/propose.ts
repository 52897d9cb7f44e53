/** The main job: a progression in, ranked and varied proposals out, each planned, fingered and judged. */

import { seededRandom } from '../base/random';
import { FAMILIES } from '../figures/families';
import { finger } from '../figures/fingering';
import { familyOf } from '../figures/interpreter';
import type { FigureFamily } from '../figures/types';
import { parseProgression } from '../harmony/progression';
import type { Progression } from '../harmony/types';
import { CONCERT_HARP } from '../harp/instrument';
import { defaultPlanOptions, planPassage } from '../pedals/plan';
import { judge } from '../playability/judge';
import { missingTones } from './harmony-kept';
import { priceOf } from './price';
import { draftRefusal, planRefusal, steeredHarp } from './steer';
import type { Proposal, ProposeAnswer, ProposeRequest, Rejection } from './types';
import { type Candidate, chooseVaried, fingerprint } from './variety';

/** Candidates drawn for each proposal asked for, in fifths: a quarter more than needed leaves something to choose. */
const SPARE_FIFTHS = 6;
/** Rounds over the families before giving up on finding enough. */
const MOST_ROUNDS = 12;

type Attempt =
  { readonly ok: true; readonly proposal: Proposal } | { readonly ok: false; readonly rejection: Rejection };

/** One draft of one family, planned, fingered and judged. The same arguments give the same proposal. */
export function attempt(
  request: ProposeRequest,
  progression: Progression,
  family: FigureFamily,
  seed: string,
): Attempt {
  const refuse = (problems: Rejection['problems']): Attempt => ({
    ok: false,
    rejection: { family: family.id, problems },
  });
  const instrument = request.instrument ?? CONCERT_HARP;
  const steering = request.steering ?? {};
  const draft = family.draft({
    progression,
    title: request.title,
    milliBpm: request.milliBpm,
    instrument: steeredHarp(instrument, steering),
    random: seededRandom(seed).fork(family.id),
    ...(steering.dynamic === undefined ? {} : { dynamic: steering.dynamic }),
  });
  if (!draft.ok) return refuse(draft.problems);
  const unasked = draftRefusal(family.id, draft.value.passage, steering);
  if (unasked !== null) return refuse([unasked]);
  const answer = planPassage(draft.value.passage, {
    ...defaultPlanOptions,
    ...steering.pedals,
    aim: request.aim,
    start: request.start,
    instrument,
  });
  if (answer.status === 'unplayable') return refuse(answer.problems);
  const planned = finger(answer.planned);
  const remarks = judge(planned);
  const errors = remarks.filter((p) => p.severity === 'error');
  if (errors.length > 0) return refuse(errors);
  const tooMuch = planRefusal(family.id, planned, steering);
  if (tooMuch !== null) return refuse([tooMuch]);
  return {
    ok: true,
    proposal: {
      id: `${family.id}-${seed}`,
      family: family.id,
      familyName: family.name,
      variant: draft.value.variant,
      seed,
      recipe: [{ family: family.id, seed }],
      planned,
      pedals: answer.price,
      lowerBound: answer.lowerBound,
      optimal: answer.status === 'optimal',
      price: priceOf(answer.price, remarks, draft.value.craft, missingTones(progression, planned)),
      warnings: remarks,
    },
  };
}

/** The seed of the n-th round: the user's own first, so that `--families x --seed s --count 1` makes one again. */
const roundSeed = (seed: string, round: number): string => (round === 0 ? seed : `${seed}.${round}`);

/**
 * Ranked proposals for a progression, at most `count`, cheapest first with families mixed, no two alike.
 * `rejected` holds what was refused, with its reasons. Words of the progression that do not parse are in
 * `progression.problems`; the rest still gets proposals. Unknown family ids are ignored here: check them before.
 */
export function propose(request: ProposeRequest): ProposeAnswer {
  const progression = parseProgression(request.text, { metre: request.metre, key: request.key });
  const own = (request.figures ?? []).map(familyOf);
  const known = [...own, ...FAMILIES.filter((f) => own.every((o) => o.id !== f.id))];
  const families =
    request.families.length === 0 ? known : known.filter((f) => request.families.includes(f.id));
  const rejected: Rejection[] = [];
  const candidates: (Candidate & { readonly proposal: Proposal })[] = [];
  const wanted = Math.ceil((request.count * SPARE_FIFTHS) / 5);
  let chosen: Proposal[] = [];
  if (progression.barCount > 0 && families.length > 0) {
    for (let round = 0; round < MOST_ROUNDS && chosen.length < request.count; round++) {
      for (const family of families) {
        if (candidates.length >= wanted + round * families.length) break;
        const result = attempt(request, progression, family, roundSeed(request.seed, round));
        if (!result.ok) {
          rejected.push(result.rejection);
          continue;
        }
        const { proposal } = result;
        candidates.push({
          id: proposal.id,
          family: proposal.family,
          total: proposal.price.total,
          events: fingerprint(proposal.planned.passage),
          proposal,
        });
      }
      if (candidates.length >= request.count)
        chosen = chooseVaried(candidates, request.count).map((c) => c.proposal);
    }
    if (chosen.length < request.count)
      chosen = chooseVaried(candidates, request.count).map((c) => c.proposal);
  }
  return { progression, proposals: chosen, rejected };
}
