/** What the user said of proposals, as the page changes it. */

import type { Proposal, Recipe, Steering } from '../proposals/types';

export type { Steering } from '../proposals/types';

/** Everything that the steering drawer sets; the pedals have a drawer of their own. */
export const STEERED = [
  'density',
  'register',
  'dynamic',
  'hardest',
  'mostMoves',
  'choices',
  'keep',
  'like',
  'unlike',
  'again',
] as const satisfies readonly (keyof Steering)[];

const MOST = 12;
const same = (a: Recipe, b: Recipe): boolean => JSON.stringify(a) === JSON.stringify(b);

/** With one recipe more in a list, the newest last, each once, at most twelve. */
function adding(list: readonly Recipe[] | undefined, recipe: Recipe): Recipe[] {
  return [...(list ?? []).filter((r) => !same(r, recipe)), recipe].slice(-MOST);
}
function without(list: readonly Recipe[] | undefined, recipe: Recipe): Recipe[] | undefined {
  const left = (list ?? []).filter((r) => !same(r, recipe));
  return left.length === 0 ? undefined : left;
}
/** Without the keys that say nothing. */
const clean = (s: { readonly [K in keyof Steering]: Steering[K] | undefined }): Steering =>
  Object.fromEntries(Object.entries(s).filter(([, value]) => value !== undefined)) as Steering;

/** More like this one: it is no longer one to keep away from. */
export const moreLike = (s: Steering, { recipe }: Proposal): Steering =>
  clean({ ...s, like: adding(s.like, recipe), unlike: without(s.unlike, recipe) });

export const furtherFrom = (s: Steering, { recipe }: Proposal): Steering =>
  clean({ ...s, unlike: adding(s.unlike, recipe), like: without(s.like, recipe) });

/** The same figure on whatever chords are asked for next. */
export const playAgain = (s: Steering, { recipe }: Proposal): Steering =>
  clean({ ...s, again: adding(s.again, recipe) });

/** Bars, from 1, as this one has them; what was kept before of those bars gives way. */
export function keepBars(s: Steering, { recipe }: Proposal, from: number, to: number): Steering {
  const apart = (s.keep ?? []).filter((k) => k.to < from || k.from > to);
  const keep = [...apart, { from, to, recipe }].sort((a, b) => a.from - b.from).slice(0, MOST);
  return { ...s, keep };
}
