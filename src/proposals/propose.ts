/** The main job: a progression in, ranked and varied proposals out, each planned, fingered and judged. */

import { seededRandom } from '../base/random';
import { GIVEN_MELODY } from '../figures/melody-family';
import type { FigureDraft } from '../figures/types';
import { parseProgression } from '../harmony/progression';
import type { Progression } from '../harmony/types';
import type { Passage } from '../music/passage';
import type { Attempt } from './attempt';
import {
  MIXED,
  type Workshop,
  attemptFamily,
  attemptMixed,
  attemptRecipe,
  isPlain,
  workshop,
} from './joint-attempt';
import { nearUnwanted } from './steer';
import { familiesOf } from './steer-ids';
import { limitReports } from './steer-limits';
import type { Proposal, ProposeAnswer, ProposeRequest, Recipe, Rejection } from './types';
import { ALIKE, type Candidate, chooseNearest, chooseVaried, fingerprint, likeness } from './variety';
import { type Features, distanceOf, featuresOf } from './variety-distance';

/** Candidates for each proposal asked for, in fifths, where the list is chosen by how near it comes to something. */
const STEERED_FIFTHS = 12;
/** Rounds over the families before giving up on finding enough. */
const MOST_ROUNDS = 12;
/** The same where a limit is lifted to see what comes back: few, since most that comes does so at once. */
const LIFTED_ROUNDS = 3;

/** Points for each hundredth that a proposal lies off what is wanted, and most for lying near what is not. */
const NEARNESS = 2;
/** A proposal nearer than this to one that is not wanted is left out. */
export const UNLIKE = 120;

/** The seed of the n-th round: the user's own first, so that `--families x --seed s --count 1` makes one again. */
const roundSeed = (seed: string, round: number): string => (round === 0 ? seed : `${seed}.${round}`);

/** A source of proposals: a family, or the mixed textures. */
interface Source {
  readonly id: string;
  /** The draft that would be planned, where one is enough. */
  readonly draft?: (seed: string) => FigureDraft | null;
  readonly attempt: (seed: string) => Attempt;
}

function sourcesOf(shop: Workshop): Source[] {
  const { request, families } = shop;
  // A melody that is given is what all proposals play.
  const wanted = request.melody === undefined ? request.families : [GIVEN_MELODY];
  // Mixed textures take what else is asked for; alone, they take everything.
  const others = wanted.filter((id) => id !== MIXED.id);
  const inside = others.length === 0 ? families : families.filter((f) => others.includes(f.id));
  const shown = wanted.length > 0 && others.length === 0 ? [] : inside;
  const sources = shown.map((family): Source => ({
    id: family.id,
    ...(isPlain(shop)
      ? {
          draft: (seed) => {
            const made = shop.draft(family, seed);
            return made.ok ? made.value : null;
          },
        }
      : {}),
    attempt: (seed) => attemptFamily(shop, family, seed),
  }));
  // More of the families whose like is wanted.
  const liked = new Set((request.steering?.like ?? []).flat().map((t) => t.family));
  const near = families.flatMap((family) =>
    liked.has(family.id) && shown.includes(family)
      ? ['n1', 'n2', 'n3'].map((n): Source => ({
          id: family.id,
          attempt: (seed) => attemptFamily(shop, family, `${seed}.${n}`),
        }))
      : [],
  );
  const mixed: Source = { id: MIXED.id, attempt: (seed) => attemptMixed(shop, inside, seed) };
  const mixes = wanted.length === 0 || wanted.includes(MIXED.id);
  // Drawn in an order of the seed's own: a short list is not always of the same families.
  return seededRandom(request.seed)
    .fork('order')
    .shuffle(mixes ? [...sources, ...near, mixed] : [...sources, ...near]);
}

interface Found extends Candidate {
  readonly features: Features;
  readonly proposal: Proposal;
}

/** What is wanted and what is not, as features. A recipe that cannot be played here says nothing. */
function examples(shop: Workshop, recipes: readonly Recipe[] | undefined): Features[] {
  // The examples are what they were: not held against what is asked of their like.
  const { keep: _keep, choices: _choices, density: _density, ...steering } = shop.request.steering ?? {};
  const { hardest: _hardest, mostMoves: _mostMoves, ...rest } = steering;
  const plain = workshop({ ...shop.request, steering: rest }, shop.progression, shop.families);
  return (recipes ?? []).flatMap((recipe) => {
    const made = attemptRecipe(plain, recipe);
    return made.ok ? [featuresOf(made.proposal.planned.passage)] : [];
  });
}

/** The part of a passage that is not kept: what can differ. The whole where everything is kept. */
function openPart(passage: Passage, kept: Workshop['kept']['bars']): Passage {
  const length = passage.bars[0]?.length ?? 1;
  if (kept.every((k) => k === null) || kept.every((k) => k !== null)) return passage;
  const open = (x: { readonly onset: number }): boolean => kept[Math.floor(x.onset / length)] === null;
  const { plucks, sweeps, trembles } = passage;
  return {
    ...passage,
    plucks: plucks.filter(open),
    sweeps: sweeps.filter(open),
    trembles: trembles.filter(open),
  };
}

const isLike = (c: Candidate, draft: FigureDraft): boolean =>
  likeness(c.events, fingerprint(draft.passage)) >= ALIKE;

/** Proposals for a progression that sounds. `rounds`: over the families before giving up on finding enough. */
function search(request: ProposeRequest, progression: Progression, rounds: number): ProposeAnswer {
  const shop = workshop(request, progression, familiesOf(request));
  const { like, unlike, again = [] } = request.steering ?? {};
  const rejected: Rejection[] = [];
  const repeated: Proposal[] = [];
  for (const recipe of again) {
    const result = attemptRecipe(shop, recipe);
    if (result.ok) repeated.push(result.proposal);
    else rejected.push(result.rejection);
  }
  const count = Math.max(0, request.count - repeated.length);
  const [wanted, unwanted] = [examples(shop, like), examples(shop, unlike)];
  const steered = wanted.length + unwanted.length > 0;
  const candidates: Found[] = [];
  const taken = new Set(repeated.map((p) => p.id));

  const add = (proposal: Proposal): void => {
    const passage = openPart(proposal.planned.passage, shop.kept.bars);
    const features = featuresOf(passage);
    const whole = steered ? featuresOf(proposal.planned.passage) : features;
    const from = (list: readonly Features[]): number =>
      Math.min(500, ...list.map((e) => distanceOf(e, whole).total));
    const [near, far] = [from(wanted), from(unwanted)];
    const { id, family, price } = proposal;
    if (unwanted.length > 0 && far < UNLIKE) {
      rejected.push({ family, problems: [nearUnwanted(family, far, UNLIKE)] });
      return;
    }
    const off = wanted.length > 0 ? NEARNESS * near : unwanted.length > 0 ? -NEARNESS * far : 0;
    candidates.push({
      id,
      family,
      total: price.total + off,
      events: fingerprint(passage),
      features,
      proposal,
    });
  };
  const choose = (): Proposal[] =>
    (steered ? chooseNearest(candidates, count) : chooseVaried(candidates, count)).map((c) => c.proposal);

  const sources = sourcesOf(shop);
  // Only what will be shown is planned, and every family has its turn; steered lists are chosen from more.
  const spare = steered ? Math.ceil((count * STEERED_FIFTHS) / 5) : count;
  // One source alone is asked more often.
  const most = Math.max(rounds, Math.ceil((2 * spare) / Math.max(1, sources.length)));
  let enough = steered ? Math.max(spare, sources.length) : count;
  let chosen: Proposal[] = [];
  asking: for (let round = 0; round < most && count > 0; round++) {
    const seed = roundSeed(request.seed, round);
    for (const source of sources) {
      const draft = source.draft?.(seed) ?? null;
      // Neither planned nor refused: there is one like it, of the same family.
      if (draft !== null && candidates.some((c) => c.family === source.id && isLike(c, draft))) continue;
      const result = source.attempt(seed);
      if (!result.ok) rejected.push(result.rejection);
      else if (!taken.has(result.proposal.id)) add(result.proposal);
      if (candidates.length < enough) continue;
      chosen = choose();
      if (chosen.length >= count) break asking;
      enough = candidates.length + Math.max(1, count - chosen.length);
    }
  }
  if (chosen.length < count) chosen = choose();
  const { dropped } = shop.kept;
  return { progression, proposals: [...repeated, ...chosen], rejected, dropped };
}

/**
 * Ranked proposals for a progression, at most `count`, cheapest first with families mixed, no two alike; with
 * `steering.like`, nearest first. `rejected` holds what was refused, with its reasons; `limits` what each limit that
 * is set refused and, where nothing is left, how many proposals come back without it. Words of the progression that
 * do not parse are in `progression.problems`; the rest still gets proposals. Unknown family ids are ignored here:
 * check them before.
 */
export function propose(request: ProposeRequest): ProposeAnswer {
  const { text, metre, key } = request;
  const progression = parseProgression(text, { metre, key });
  if (progression.barCount === 0 || progression.chords.every((c) => c.chord === null))
    return { progression, proposals: [], rejected: [], limits: [], dropped: [] };
  const answer = search(request, progression, MOST_ROUNDS);
  const none = answer.proposals.length === 0;
  const back = (without: ProposeRequest): number =>
    search(without, progression, LIFTED_ROUNDS).proposals.length;
  return { ...answer, limits: limitReports(request, answer.rejected, none ? back : null) };
}
