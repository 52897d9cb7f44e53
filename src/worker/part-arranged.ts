/** A piano part arranged as the page wants it: with chords set right by the user, and bars in another figure. */

import type { Problem } from '../base/problem';
import { seededRandom } from '../base/random';
import { type Result, fail, ok } from '../base/result';
import { ticks } from '../base/units';
import { FAMILIES } from '../figures/families';
import { finger } from '../figures/fingering';
import { parseChord } from '../harmony/chord';
import { CONCERT_HARP } from '../harp/instrument';
import type { HarmonyMark, Passage } from '../music/passage';
import { defaultPlanOptions, planPassage } from '../pedals/plan';
import { judge } from '../playability/judge';
import { respellings } from '../proposals/mend/plan-file';
import { type NoteFix, withNoteFixesWhere } from '../proposals/note-fix';
import { type ReduceRequest, type Reduction, reduce } from '../proposals/reduce';
import { recognizeHarmony } from '../reduction/harmony';
import { retexture } from '../reduction/retexture';

/** Bars, by index, the last included, played in a figure of a family. */
export interface Retexture {
  readonly from: number;
  readonly to: number;
  readonly family: string;
  readonly seed: string;
}

export interface ArrangeRequest extends Pick<ReduceRequest, 'difficulty' | 'refused'> {
  readonly passage: Passage;
  /** Chord symbols set right, by tick of their onset. */
  readonly corrected: Readonly<Record<string, string>>;
  readonly retextures: readonly Retexture[];
  /** Spellings that the user fixed. */
  readonly fixes?: readonly NoteFix[];
  /** Hears the share that is done, 0 to 1. */
  readonly told?: (share: number) => void;
}

export interface Arranged extends Reduction {
  /** Re-texturings that could not be done, each with its reason. */
  readonly refusals: readonly { readonly at: Retexture; readonly problem: Problem }[];
  /** Why the spellings that were fixed could not be had, or null. */
  readonly fixRefused: Problem | null;
}

/** The recognized chords, those that were set right in their place. A word that is no chord is left as recognized. */
export function correctedChords(
  passage: Passage,
  corrected: Readonly<Record<string, string>>,
): HarmonyMark[] {
  return recognizeHarmony(passage).map((mark) => {
    const text = corrected[String(mark.onset)];
    const read = text === undefined ? null : parseChord(text);
    if (read?.ok !== true) return mark;
    const { root, bass, kind, degrees } = read.value;
    return { onset: mark.onset, text: read.value.text, root, bass, kind, degrees };
  });
}

/** The arrangement with bars in another figure: drawn, planned anew as a whole, fingered, and held against every rule. */
function redrawn(now: Reduction, at: Retexture): Result<Reduction> {
  const family = FAMILIES.find((f) => f.id === at.family);
  const instrument = CONCERT_HARP;
  if (family === undefined) {
    return fail({
      code: 'retexture',
      severity: 'error',
      where: { kind: 'music', onset: ticks(0), ids: [] },
      value: at.family,
      limit: 'a family of figures',
      source: 'common practice',
    });
  }
  const drawn = retexture({
    passage: now.planned.passage,
    from: at.from,
    to: at.to + 1,
    chords: now.chords,
    family,
    instrument,
    random: seededRandom(at.seed).fork(at.family),
  });
  return drawn.ok ? replanned(now, drawn.value) : drawn;
}

/** The arrangement with another passage, planned anew and held against every rule. */
function replanned(now: Reduction, passage: Passage): Result<Reduction> {
  const plan = planPassage(passage, { ...defaultPlanOptions, instrument: CONCERT_HARP });
  if (plan.status === 'unplayable') return fail(...plan.problems);
  // Hands and fingers of the other bars stay; those of the new ones come from the figure.
  const planned = finger(plan.planned);
  const problems = judge(planned);
  const errors = problems.filter((p) => p.severity === 'error');
  return errors.length > 0 ? fail(...errors) : ok({ ...now, planned, problems });
}

/** Arranges; null where there is nothing to arrange. A re-texturing that cannot be played is refused with its reason. */
export function arrange(request: ArrangeRequest): Arranged | null {
  const { passage, corrected, retextures, difficulty, refused, told } = request;
  const chords = Object.keys(corrected).length === 0 ? {} : { chords: correctedChords(passage, corrected) };
  const asked: ReduceRequest = {
    passage,
    ...chords,
    ...(difficulty === undefined ? {} : { difficulty }),
    ...(refused === undefined ? {} : { refused }),
  };
  const made = reduce(asked, (done, of) => {
    told?.(done / Math.max(1, of));
    return true;
  });
  if (made === null) return null;
  let now: Reduction = made;
  const refusals: Arranged['refusals'][number][] = [];
  for (const at of retextures) {
    const next = redrawn(now, at);
    if (next.ok) now = next.value;
    else if (next.problems[0] !== undefined) refusals.push({ at, problem: next.problems[0] });
  }
  // Where nothing that sounds is spelt otherwise than asked, the plan stands as it is.
  const fixed = withNoteFixesWhere(now.planned.passage, request.fixes ?? []);
  if (respellings(now.planned.passage, fixed).length === 0) return { ...now, refusals, fixRefused: null };
  const next = replanned(now, fixed);
  return next.ok
    ? { ...next.value, refusals, fixRefused: null }
    : { ...now, refusals, fixRefused: next.problems[0] ?? null };
}
