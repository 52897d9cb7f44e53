/** The lever planner: spelling and instants for the left hand, with the fewest moves, exactly. */

import type { Problem } from '../base/problem';
import type { Ticks } from '../base/units';
import { LEVER_HARP } from '../harp/instrument';
import type { StringIndex } from '../harp/strings';
import type { Passage } from '../music/passage';
import { diatonicIndex, pitchName } from '../music/pitch';
import type { Note } from './demand-types';
import { type Label, MOVE, pathOf, solveLevers } from './lever-solve';
import { type LeverStop, leverSpellings, leverStops } from './lever-stops';
import { LEVER_TIMES, type Lever, type LeverAnswer, type LeverOptions, type LeverPlan } from './lever-types';

export const defaultLeverOptions: LeverOptions = {
  harp: LEVER_HARP,
  start: null,
  keepSpelling: false,
  times: LEVER_TIMES,
};

function planOf(last: Label, passage: Passage, options: LeverOptions): LeverPlan {
  const path = pathOf(last);
  const spelt = new Map(path.flatMap((l) => [...(l.way?.spelt ?? [])]));
  const anew = <N extends Note>(n: N): N => ({ ...n, pitch: spelt.get(n.id) ?? n.pitch });
  const plucks = passage.plucks.map(anew);
  plucks.sort((a, b) => a.onset - b.onset || diatonicIndex(a.pitch) - diatonicIndex(b.pitch));
  const moves = path.flatMap((l) => l.moves);
  // How each string stands at first: as it is first needed, or as its first move leaves it.
  const first = new Map<StringIndex, Lever>();
  for (const label of path) {
    for (const m of label.moves) if (!first.has(m.string)) first.set(m.string, m.to === 1 ? 0 : 1);
    for (const [s, l] of label.way?.needs ?? []) if (!first.has(s)) first.set(s, l);
  }
  const start = options.start ?? [...first].filter(([, l]) => l === 1).map(([s]) => s);
  return {
    passage: {
      ...passage,
      plucks,
      trembles: passage.trembles.map((t) => ({ ...t, notes: t.notes.map(anew) })),
    },
    harp: options.harp,
    start: [...start].sort((a, b) => a - b),
    moves,
  };
}

const notesOf = (p: Passage): Note[] => [...p.plucks, ...p.trembles.flatMap((t) => t.notes)];

const restrict = (p: Passage, ids: ReadonlySet<string>): Passage => ({
  ...p,
  plucks: p.plucks.filter((x) => ids.has(x.id)),
  sweeps: p.sweeps.filter((x) => ids.has(x.id)),
  trembles: p.trembles
    .map((t) => ({ ...t, notes: t.notes.filter((n) => ids.has(n.id)) }))
    .filter((t) => t.notes.length > 0),
});

/** Labels made to find the least conflict; with more, what is found is given as it is. */
const REFUSE_LIMIT = 200_000;

/**
 * A minimal set of what cannot all be played, and why. Fewer notes are never harder: the shortest run of stops up to
 * the failing one that fails by itself, then without each of its notes that it fails without.
 */
function refuse(
  passage: Passage,
  stops: readonly LeverStop[],
  at: number,
  options: LeverOptions,
): LeverAnswer {
  let work = 0;
  /** Only what was searched whole is proven to fail. */
  const fails = (ids: readonly string[]): boolean => {
    if (ids.length === 0 || work > REFUSE_LIMIT) return false;
    const part = restrict(passage, new Set(ids));
    const solved = solveLevers(leverStops(part, options), part, options, true);
    work += solved.made;
    return 'failing' in solved && !solved.cut;
  };
  const run = (size: number): string[] =>
    stops.slice(Math.max(0, at + 1 - size), at + 1).flatMap((s) => s.ids);
  let size = 1;
  while (size <= at && !fails(run(size))) size *= 2;
  let rest = run(size);
  let proven = size <= at || fails(rest);
  for (let part = rest.length >> 1; proven && part >= 1; part >>= 1) {
    for (let i = 0; i < rest.length;) {
      const without = [...rest.slice(0, i), ...rest.slice(i + part)];
      if (fails(without)) rest = without;
      else i += part;
    }
  }
  proven &&= work <= REFUSE_LIMIT;
  const notes = notesOf(passage).filter((n) => rest.includes(n.id));
  const named = proven ? notes : notesOf(passage).filter((n) => stops[at]?.ids.includes(n.id) === true);
  const names = named.map((n) => pitchName(n.pitch)).join(', ');
  const first = proven ? stops.find((s) => s.ids.some((id) => rest.includes(id))) : stops[at];
  const alone = rest.length === 1;
  const part = restrict(passage, new Set(rest));
  const untimed = proven && 'failing' in solveLevers(leverStops(part, options), part, options, false);
  const note = notes[0];
  const code =
    alone && note !== undefined && leverSpellings(note, options).length === 0
      ? rangeOrFlat(note, options)
      : !proven
        ? 'lever-work'
        : untimed
          ? 'lever-clash'
          : 'lever-time';
  const hurried = code === 'lever-time' || code === 'lever-work';
  const problem: Problem = {
    code,
    severity: 'error',
    where: { kind: 'music', onset: first?.onset ?? (0 as Ticks), ids: rest },
    value: names === '' ? 'the glissando' : names,
    limit: hurried ? (options.times.reach + options.times.back) / 1_000_000 : options.harp.name,
    ...(hurried ? { unit: 's' } : {}),
    source: options.harp.source,
  };
  return { status: 'unplayable', conflict: rest, problems: [problem] };
}

/** Out of the compass, or on it but with no string tuned or raised to it. */
function rangeOrFlat(note: Note, { harp }: LeverOptions): 'range' | 'lever-pitch' {
  const string = diatonicIndex(note.pitch) - 7;
  return string < harp.lowest || string > harp.highest ? 'range' : 'lever-pitch';
}

/**
 * Plans a passage for a lever harp: fewest lever moves, then fewest notes spelt on another string. A lever moves only
 * while the left hand is free: it needs `times.reach` to the lever and `times.back` to its next stroke; the string's
 * last note in the old position has been struck. Hands must be given: a note without one counts as the left's. What
 * cannot be played is named by a minimal set of notes; where the limit on work was spent first, the problem says so.
 */
export function planLevers(passage: Passage, options: LeverOptions = defaultLeverOptions): LeverAnswer {
  const stops = leverStops(passage, options);
  const solved = solveLevers(stops, passage, options, true);
  if ('failing' in solved) return refuse(passage, stops, solved.failing, options);
  const untimed = solveLevers(stops, passage, options, false);
  const plan = planOf(solved.label, passage, options);
  return {
    status: solved.cut ? 'planned' : 'optimal',
    plan,
    price: { moves: Math.floor(solved.label.cost / MOVE), respelt: solved.label.cost % MOVE },
    lowerBound: 'failing' in untimed ? 0 : Math.floor(untimed.label.cost / MOVE),
    problems: [],
  };
}
