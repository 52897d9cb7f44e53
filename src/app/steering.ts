/** What the user said of proposals, as the page changes it. */

import { barChords } from '../proposals/kept';
import type { NoteFix } from '../proposals/note-fix';
import type { NoteSlide } from '../proposals/note-slide';
import { lifted } from '../proposals/steer-limits';
import type { DroppedBar, Keep, Proposal, Recipe, Steering, SteeringLimit } from '../proposals/types';
import { type Input, requestOf } from './work';

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
  'fixes',
  'slides',
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

/** Bars, from 1, as this one has them while their chords stand; what was kept before of those bars gives way. */
export function keepBars(s: Steering, proposal: Proposal, from: number, to: number): Steering {
  const { recipe, planned } = proposal;
  const chords = barChords(planned.passage).slice(from - 1, to);
  const apart = (s.keep ?? []).filter((k) => k.to < from || k.from > to);
  const keep = [...apart, { from, to, recipe, chords }].sort((a, b) => a.from - b.from).slice(0, MOST);
  return { ...s, keep };
}

/** With these rules for the pedal plan; none at all where there are none. */
export function withRules(s: Steering, rules: NonNullable<Steering['pedals']>): Steering {
  return clean({ ...s, pedals: Object.keys(rules).length === 0 ? undefined : rules });
}

/** With these spellings fixed. */
export const withFixes = (s: Steering, fixes: readonly NoteFix[]): Steering =>
  clean({ ...s, fixes: fixes.length === 0 ? undefined : fixes });

/** With these pedal slides. */
export const withSlides = (s: Steering, slides: readonly NoteSlide[]): Steering =>
  clean({ ...s, slides: slides.length === 0 ? undefined : slides });

/** What of the input changes where one limit is lifted. */
export function liftedInput(input: Input, limit: SteeringLimit): Partial<Input> {
  const { start, steering } = lifted(requestOf(input), limit);
  return {
    start,
    ...(steering === undefined ? {} : { steering: withRules(steering, steering.pedals ?? {}) }),
    ...(limit === 'families' ? { families: [] } : {}),
  };
}

/** Without the kept bars that are not kept any more: what is left of each stretch stays. */
export function releaseBars(s: Steering, dropped: readonly DroppedBar[]): Steering {
  const gone = new Set(dropped.map((d) => d.bar));
  const keep = (s.keep ?? []).flatMap((k) => runsOf(k, gone));
  return clean({ ...s, keep: keep.length === 0 ? undefined : keep });
}

/** The stretches of a keep without some of its bars. */
function runsOf(k: Keep, gone: ReadonlySet<number>): Keep[] {
  const out: Keep[] = [];
  for (let bar = k.from; bar <= k.to; bar++) {
    if (gone.has(bar)) continue;
    const last = out.at(-1);
    if (last !== undefined && last.to === bar - 1) out[out.length - 1] = { ...last, to: bar };
    else out.push({ from: bar, to: bar, recipe: k.recipe });
  }
  return out.map((run) =>
    k.chords === undefined ? run : { ...run, chords: k.chords.slice(run.from - k.from, run.to - k.from + 1) },
  );
}
