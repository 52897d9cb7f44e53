/** Proposals whose bars are chosen jointly with the pedals: of one family's variants, or mixed by a phrase plan. */

import type { Problem } from '../base/problem';
import { seededRandom } from '../base/random';
import { ticks } from '../base/units';
import { harmonyMarks } from '../figures/compose';
import { craftOf } from '../figures/craft';
import { unsuited } from '../figures/interpreter';
import { checkHands } from '../figures/limits';
import { compassOf } from '../figures/register';
import { segmentsOf } from '../figures/segments';
import type { FigureDraft, FigureFamily } from '../figures/types';
import type { Progression } from '../harmony/types';
import { CONCERT_HARP } from '../harp/instrument';
import { PEDALS, type Setting, positionOf } from '../harp/setting';
import { makeBars } from '../music/metre';
import type { Hairpin } from '../music/passage';
import type { Letter } from '../music/pitch';
import { ALL_FREE, type Partial7, mergePartials, partialOf } from '../pedals/tables';
import { type Attempt, type Origin, attempt, draftOf, finish, planOptionsOf } from './attempt';
import { FORBIDDEN, chooseJointly } from './joint';
import { firstDynamic, joinBars } from './joint-bars';
import { type Material, joinCost, materialOf } from './joint-material';
import { type Kept, barChords, keptBars } from './kept';
import { drawPlan, rolesOf } from './phrase-plan';
import { RATES } from './price';
import { steeredHarp } from './steer';
import type { ProposeRequest, Recipe, Rejection, Texture } from './types';

/** The family of mixed textures, as the lists of families name it. */
export const MIXED = {
  id: 'mixed',
  name: 'Mixed textures',
  serves: 'Where the texture should change with the phrase: a a b a, building up, thinning out.',
} as const;

/** A move as the joint choice prices it: the rates of the whole price for a move, its gesture and its position. */
export const JOINT_WEIGHTS = {
  move: RATES.pedalMoves + RATES.gestures + RATES.positions,
  second: RATES.positions,
} as const;

/** Choices tried again after the clock, the hands or the judge refused a bar. */
const MOST_TRIES = 4;

type Drafted = ReturnType<typeof draftOf>;

/** What a search over one request shares: families by id, and drafts that are made once. */
export interface Workshop {
  readonly request: ProposeRequest;
  readonly progression: Progression;
  readonly families: readonly FigureFamily[];
  material(texture: Texture): Material | readonly Problem[];
  draft(family: FigureFamily, seed: string): Drafted;
  /** The bars that stay, and those that were to. */
  readonly kept: Kept<Material>;
}

/** `families`: all that are known, for recipes may name others than those asked for. */
export function workshop(
  request: ProposeRequest,
  progression: Progression,
  families: readonly FigureFamily[],
): Workshop {
  const byId = new Map(families.map((f) => [f.id, f]));
  const made = new Map<string, Material | readonly Problem[]>();
  const options = planOptionsOf(request);
  const drafts = new Map<string, Drafted>();
  const draft = (family: FigureFamily, seed: string): Drafted => {
    const key = `${family.id} ${seed}`;
    const known = drafts.get(key) ?? draftOf(request, progression, family, seed);
    drafts.set(key, known);
    return known;
  };
  const material = (texture: Texture): Material | readonly Problem[] => {
    const key = `${texture.family} ${texture.seed}`;
    const known = made.get(key);
    if (known !== undefined) return known;
    const family = byId.get(texture.family);
    const drawn: Drafted =
      family === undefined
        ? { ok: false, problems: [unsuited(texture.family, 'there is no such family', 'a family')] }
        : draft(family, texture.seed);
    const answer =
      drawn.ok && family !== undefined
        ? materialOf(texture, family, drawn.value, options)
        : drawn.ok
          ? []
          : drawn.problems;
    made.set(key, answer);
    return answer;
  };
  const bars = makeBars(progression.metre, progression.barCount);
  const chordsNow = barChords({ bars, chords: harmonyMarks(progression) });
  const kept = keptBars(request.steering?.keep ?? [], chordsNow, material);
  return { request, progression, families, material, draft, kept };
}

const isMaterial = (m: Material | readonly Problem[]): m is Material => !Array.isArray(m);

const settingPartial = (setting: Setting): Partial7 =>
  PEDALS.reduce<number>((p, l) => mergePartials(p, partialOf(l, positionOf(setting, l))), ALL_FREE);

const lockedPartial = (locked: Partial<Record<Letter, -1 | 0 | 1>> | undefined): Partial7 =>
  PEDALS.reduce<number>((p, l) => {
    const position = locked?.[l];
    return position === undefined ? p : mergePartials(p, partialOf(l, position));
  }, ALL_FREE);

/** The draft that these materials make, bar by bar. */
function joined(
  { request, progression }: Workshop,
  bars: readonly Material[],
  variant: string,
  hairpin: JointAsk['hairpin'],
): FigureDraft {
  const slices = bars.map((m, b) => (m.bars[b] as Material['bars'][number]).slice);
  const frame = (bars[0] as Material).draft.passage;
  const bare = joinBars(frame, slices, request.steering?.dynamic ?? firstDynamic(slices));
  const last = bare.bars.at(-1)?.start ?? bare.tempo[0]?.onset;
  const whole = hairpin !== undefined && last !== undefined && last > 0;
  const passage = whole ? { ...bare, hairpins: [{ from: ticks(0), to: last, kind: hairpin }] } : bare;
  const joins = bars.slice(1).reduce((sum, m, b) => {
    const before = bars[b] as Material;
    return sum + joinCost(before, m, b, request.milliBpm);
  }, 0);
  const craft = craftOf(
    passage,
    segmentsOf(progression).map((s) => s.onset),
  );
  return { variant, passage, craft: { ...craft, joins: Math.floor((8 * joins) / bars.length) } };
}

/** Shortest recipe that says the same: one texture throughout is one entry. */
const recipeOf = (bars: readonly Material[]): Recipe => {
  const [first] = bars;
  return first !== undefined && bars.every((m) => m === first) ? [first.texture] : bars.map((m) => m.texture);
};

/** The bar at which a refusal points; null for what concerns the whole. */
function barOf(problems: readonly Problem[], barLength: number): number | null {
  const [first] = problems;
  if (first === undefined || first.code === 'figure-unsuited') return null;
  const { where } = first;
  return where.kind === 'music' ? Math.floor(where.onset / barLength) : null;
}

interface JointAsk {
  readonly family: string;
  readonly familyName: string;
  readonly seed: string;
  /** Candidates of each bar; none empty. */
  readonly bars: readonly (readonly Material[])[];
  /** The variant's name, from what was chosen. */
  readonly name: (chosen: readonly Material[]) => string;
  /** The whole grows or shrinks: it is printed so. */
  readonly hairpin?: Hairpin['kind'];
}

/** Chooses, plans and judges; what is refused at a bar is chosen anew without that candidate there, a few times. */
function attemptJoint(shop: Workshop, ask: JointAsk): Attempt {
  const { request, progression } = shop;
  const options = planOptionsOf(request);
  const instrument = steeredHarp(request.instrument ?? CONCERT_HARP, request.steering ?? {});
  const locked = lockedPartial(options.locked);
  const start = options.start === null ? locked : settingPartial(options.start);
  const end = options.end === null ? ALL_FREE : settingPartial(options.end);
  let bars = ask.bars.map((list) => [...list]);
  let refused: Rejection = { family: ask.family, problems: [] };
  for (let tries = 0; tries < MOST_TRIES; tries++) {
    const answer = chooseJointly({
      bars: bars.map((list, b) => list.map((m) => (m.bars[b] as Material['bars'][number]).candidate)),
      pair: (bar, from, to) => {
        const [a, b] = [bars[bar]?.[from], bars[bar + 1]?.[to]];
        return a === undefined || b === undefined ? FORBIDDEN : joinCost(a, b, bar, request.milliBpm);
      },
      start,
      end,
      weights: JOINT_WEIGHTS,
    });
    if (answer === null) {
      const none = unsuited(ask.family, 'no choice of bars can be served by the pedals', 'another setting');
      return { ok: false, rejection: { family: ask.family, problems: [none] } };
    }
    const chosen = answer.choice.map((c, b) => bars[b]?.[c] as Material);
    const draft = joined(shop, chosen, ask.name(chosen), ask.hairpin);
    const hands = checkHands(draft.passage, compassOf(instrument));
    const origin: Origin = {
      family: ask.family,
      seed: ask.seed,
      familyName: ask.familyName,
      recipe: recipeOf(chosen),
    };
    const result: Attempt = hands.ok
      ? finish(request, progression, origin, draft)
      : { ok: false, rejection: { family: ask.family, problems: hands.problems } };
    if (result.ok) return result;
    refused = result.rejection;
    const at = barOf(refused.problems, draft.passage.bars[0]?.length ?? 1);
    if (at === null) break;
    const out = [at, at - 1].find((b) => (bars[b]?.length ?? 0) > 1);
    if (out === undefined) break;
    bars = bars.map((list, b) => (b === out ? list.filter((m) => m !== chosen[b]) : list));
  }
  return { ok: false, rejection: refused };
}

/** Up to `count` drafts of one family; those of `seed` itself first. */
function drawMaterials(shop: Workshop, family: FigureFamily, seed: string, count: number): Material[] {
  const out: Material[] = [];
  for (let k = 0; k < count; k++) {
    const made = shop.material({ family: family.id, seed: k === 0 ? seed : `${seed}.v${k}` });
    if (isMaterial(made)) out.push(made);
  }
  return out;
}

const withKept = (kept: readonly (Material | null)[], at: (bar: number) => readonly Material[]) =>
  kept.map((k, b) => (k === null ? at(b) : [k]));

/** Candidates a bar beside kept bars where nothing is said: some that a hand reaches from what is kept. */
const KEPT_CHOICES = 4;

/** Whether a proposal of a family is one draft of it: neither choices nor kept bars ask for more. */
export const isPlain = ({ request, kept }: Workshop): boolean =>
  (request.steering?.choices ?? 1) === 1 && kept.bars.every((m) => m === null);

/** One proposal of a family: one draft, or its variants chosen jointly bar by bar where choices or kept bars ask so. */
export function attemptFamily(shop: Workshop, family: FigureFamily, seed: string): Attempt {
  const { request, progression } = shop;
  const keeps = shop.kept.bars.some((m) => m !== null);
  const count = request.steering?.choices ?? (keeps ? KEPT_CHOICES : 1);
  if (isPlain(shop)) return attempt(request, progression, family, seed, shop.draft(family, seed));
  const refuse = (problems: readonly Problem[]): Attempt => ({
    ok: false,
    rejection: { family: family.id, problems },
  });
  const kept = shop.kept.bars;
  const materials = drawMaterials(shop, family, seed, count);
  const [first] = materials;
  if (first === undefined) {
    const made = shop.material({ family: family.id, seed });
    return refuse(isMaterial(made) ? [] : made);
  }
  return attemptJoint(shop, {
    family: family.id,
    familyName: family.name,
    seed,
    bars: withKept(kept, () => materials),
    name: (chosen) =>
      namesOf(
        chosen.filter((_, b) => kept[b] === null),
        first,
      ),
  });
}

/** The variants in the order in which they are heard, three at most. */
function namesOf(chosen: readonly Material[], fallback: Material): string {
  const names = [...new Set(chosen.map((m) => m.draft.variant))];
  if (names.length === 0) return fallback.draft.variant;
  return names.length <= 3
    ? names.join('; ')
    : `${names.slice(0, 3).join('; ')} and ${names.length - 3} more`;
}

/** Candidates a bar of a mixed proposal where nothing is said: several variants of each of two or three families. */
const MIXED_CHOICES = 6;

/** A mixed proposal: a phrase plan and its families drawn by the seed, the variants chosen jointly with the pedals. */
export function attemptMixed(shop: Workshop, from: readonly FigureFamily[], seed: string): Attempt {
  const { progression } = shop;
  const refuse = (...problems: Problem[]): Attempt => ({
    ok: false,
    rejection: { family: MIXED.id, problems },
  });
  const random = seededRandom(seed).fork(MIXED.id);
  const plan = drawPlan(progression.barCount, random);
  if (plan === null) return refuse(unsuited(MIXED.id, 'one bar', 'two bars and more'));
  const kept = shop.kept.bars;
  const each = Math.max(1, Math.floor((shop.request.steering?.choices ?? MIXED_CHOICES) / plan.roles));
  const parts: Material[][] = [];
  for (const family of random.shuffle(from)) {
    if (parts.length === plan.roles) break;
    const materials = drawMaterials(shop, family, seed, each);
    if (materials.length > 0) parts.push(materials);
  }
  if (parts.length < plan.roles)
    return refuse(unsuited(MIXED.id, `${parts.length} families that suit`, `${plan.roles}`));
  if (plan.order !== null) {
    const weight = (list: readonly Material[]): number =>
      Math.floor(list.reduce((n, m) => n + m.notes, 0) / list.length);
    const sign = plan.order === 'growing' ? 1 : -1;
    parts.sort((a, b) => sign * (weight(a) - weight(b)));
  }
  const roles = rolesOf(plan, progression.barCount);
  const names = parts.map((list) => (list[0] as Material).family.name.toLowerCase()).join(', ');
  return attemptJoint(shop, {
    family: MIXED.id,
    familyName: MIXED.name,
    seed,
    bars: withKept(kept, (b) => parts[roles[b] as number] as Material[]),
    name: () => `${plan.name}: ${names}`,
    ...(plan.order === null || shop.request.steering?.dynamic !== undefined
      ? {}
      : { hairpin: plan.order === 'growing' ? 'crescendo' : 'diminuendo' }),
  });
}

/** A recipe played on this progression: what was kept, liked or is wanted again. */
export function attemptRecipe(shop: Workshop, recipe: Recipe): Attempt {
  const [first] = recipe as [Texture];
  const materials: Material[] = [];
  for (let b = 0; b < shop.progression.barCount; b++) {
    const made = shop.material(recipe[b % recipe.length] as Texture);
    if (!isMaterial(made)) return { ok: false, rejection: { family: first.family, problems: made } };
    materials.push(made);
  }
  const one = materials[0] as Material;
  if (recipe.length === 1) return attempt(shop.request, shop.progression, one.family, first.seed);
  const single = materials.every((m) => m.family === one.family);
  return attemptJoint(shop, {
    family: single ? one.family.id : MIXED.id,
    familyName: single ? one.family.name : MIXED.name,
    seed: first.seed,
    bars: materials.map((m) => [m]),
    name: (chosen) => namesOf(chosen, one),
  });
}
