/** From the id of a proposal to its recipe: what the terminal's --keep, --like, --unlike and --again name. */

import { FAMILIES } from '../figures/families';
import { familyOf } from '../figures/interpreter';
import { melodyFamily } from '../figures/melody-family';
import type { FigureFamily } from '../figures/types';
import { parseProgression } from '../harmony/progression';
import { MIXED, attemptFamily, attemptMixed, workshop } from './joint-attempt';
import type { ProposeRequest, Recipe } from './types';

/** Every family a request knows by id, its melody's and its own figures first. */
export function familiesOf(request: Pick<ProposeRequest, 'figures' | 'melody'>): FigureFamily[] {
  const own = (request.figures ?? []).map(familyOf);
  const sung = request.melody === undefined ? [] : [melodyFamily(request.melody)];
  return [...sung, ...own, ...FAMILIES.filter((f) => own.every((o) => o.id !== f.id))];
}

/**
 * The recipe of the proposal that a request without keep, like, unlike and again calls by this id; null where the id
 * names no family, or nothing can be played under it here.
 */
export function recipeOfId(request: ProposeRequest, id: string): Recipe | null {
  const families = familiesOf(request);
  const named = [...families.map((f) => f.id), MIXED.id]
    .filter((family) => id.startsWith(`${family}-`))
    .sort((a, b) => b.length - a.length)[0];
  if (named === undefined) return null;
  const seed = id.slice(named.length + 1);
  if (!/^[A-Za-z0-9._-]{1,60}$/.test(seed)) return null;
  const { keep: _k, like: _l, unlike: _u, again: _a, ...steering } = request.steering ?? {};
  const plain: ProposeRequest = { ...request, steering };
  const family = families.find((f) => f.id === named);
  if (family !== undefined && (steering.choices ?? 1) === 1) return [{ family: named, seed }];
  const progression = parseProgression(request.text, { metre: request.metre, key: request.key });
  const shop = workshop(plain, progression, families);
  const asked = request.families.filter((f) => f !== MIXED.id);
  const inside = asked.length === 0 ? families : families.filter((f) => asked.includes(f.id));
  const made = family === undefined ? attemptMixed(shop, inside, seed) : attemptFamily(shop, family, seed);
  return made.ok ? made.proposal.recipe : null;
}
