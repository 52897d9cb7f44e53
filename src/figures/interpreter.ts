/** Plays a figure of the language over a progression: voices the chords, fills the steps, checks the hands. */

import type { Problem } from '../base/problem';
import { type Result, fail, ok } from '../base/result';
import { barTicks, beatTicks, isCompound } from '../music/metre';
import type { Dynamic, Passage } from '../music/passage';
import { arcHairpins, drawArc, dynamicAt, halved, secondEndings } from './arc';
import { composePassage } from './compose';
import { craftOf } from './craft';
import type { LeftSpec, RightSpec } from './hand-forms';
import type { Figure, FigureVariant } from './language';
import { START, checkHands, microsOf } from './limits';
import { variantName } from './naming';
import { type Setup, type Shape, drawShape } from './phrase';
import { telling } from './telling';
import { breathe, breatheBeforeLeaps, makeNotes } from './play';
import { type Range, compassOf, stringNamed } from './register';
import { type Segment, segmentsOf } from './segments';
import { withScale } from './spelling';
import type { FigureBrief, FigureDraft, FigureFamily } from './types';
import { voice } from './voicing';

/** Says that a family does not suit, and why. */
export const unsuited = (family: string, value: string | number, limit: string | number): Problem => ({
  code: 'figure-unsuited',
  severity: 'error',
  where: { kind: 'music', onset: START, ids: [] },
  value,
  limit,
  source: 'common practice',
  detail: { family },
});

/** Steps a beat that suit the metre: eighths of a quarter become eighths of a dotted quarter. */
export function paces(perBeat: readonly number[], compound: boolean): number[] {
  if (!compound) return [...perBeat];
  const turned = perBeat.map((n) => (n === 2 ? 3 : n === 4 ? 6 : n === 8 ? 12 : n));
  return [...new Set(turned)];
}

/**
 * Paces in the order to try: those of a liked rate by chance, then the rest from the nearest below, then little faster
 * ones. A step of two beats goes last where the bar holds an odd number of them: it would be one step a bar.
 */
export function orderPaces(variant: FigureVariant, brief: FigureBrief): number[] {
  const { metre } = brief.progression;
  const beat = microsOf(beatTicks(metre), brief.milliBpm);
  const rate = (n: number): number => (n * 1_000_000) / beat;
  const all = paces(variant.perBeat, isCompound(metre));
  const idle = all.filter((n) => n === 0.5 && barTicks(metre) % (2 * beatTicks(metre)) !== 0);
  const usual = all.filter((n) => !idle.includes(n));
  const [least, most] = variant.rate;
  const liked = usual.filter((n) => rate(n) >= least && rate(n) <= most);
  const slower = usual.filter((n) => rate(n) < least).sort((x, y) => y - x);
  const faster = usual.filter((n) => rate(n) > most && 3 * rate(n) <= 5 * most).sort((x, y) => x - y);
  return [...brief.random.shuffle(liked), ...slower, ...faster, ...idle];
}

const window = (names: readonly [string, string]): Range => [stringNamed(names[0]), stringNamed(names[1])];

/** What a variant asks of the left hand in one of its registers, and of the right. */
export const leftSpecOf = ({ left }: FigureVariant, names: readonly [string, string]): LeftSpec => ({
  form: left.form,
  notes: left.notes,
  window: window(names),
});
export const rightSpecOf = ({ right }: FigureVariant, names: readonly [string, string]): RightSpec => ({
  form: right.form,
  notes: right.notes,
  window: window(names),
  joined: right.joined,
  onBass: right.onBass,
});

/** Stretches with the scales of their chords where a variant runs in scales. */
export const scaled = (
  segments: readonly Segment[],
  { left, right }: FigureVariant,
  key: FigureBrief['progression']['key'],
): readonly Segment[] =>
  left.form.includes('scale') || right.form.includes('scale')
    ? segments.map((s) => ({ ...s, spelled: withScale(s.spelled, s.chord, key) }))
    : segments;

/** A family that plays a figure. Refuses with the first breach of the hands where no variant and pace suits. */
export function familyOf(figure: Figure): FigureFamily {
  return { id: figure.id, name: figure.name, serves: figure.serves, draft: (brief) => draft(figure, brief) };
}

/** How far the top line's aim departs, in strings, over the four bars of a phrase. */
const CONTOURS: readonly (readonly number[])[] = [
  [0, 2, 4, 1],
  [0, 0, 3, 0],
  [2, 1, -1, -2],
  [0, 1, 2, 3],
];

const LOUD: readonly Dynamic[] = ['f', 'ff', 'fff'];

function draft(figure: Figure, brief: FigureBrief): Result<FigureDraft> {
  const { progression, random } = brief;
  const plain = segmentsOf(progression);
  const compass = compassOf(brief.instrument);
  if (plain.length === 0) return fail(unsuited(figure.id, 'no chord', 'a chord'));
  let reason: readonly Problem[] | null = null;
  const dynamic = brief.dynamic ?? random.pick(figure.dynamics);
  const second = secondEndings(barWords(plain, progression.barCount));
  for (const variant of random.shuffle(figure.variants)) {
    const segments = scaled(plain, variant, progression.key);
    const left = leftSpecOf(variant, random.pick(variant.left.windows));
    const right = rightSpecOf(variant, random.pick(variant.right.windows));
    const span = right.window[1] - right.window[0];
    const drawn = drawArc(progression, random);
    // A dynamic that is asked for stays; an ostinato neither fills in nor thins out.
    const moves = variant.layers.some((l) => l.every === 'step') && variant.perBeat.some((n) => n > 0);
    const arc = brief.dynamic === undefined && !variant.steady && moves ? drawn : null;
    const close = dynamicAt(arc, dynamic, progression.barCount - 1, progression.barCount);
    const voicings = voice(
      segments,
      {
        left,
        right,
        aim: right.window[0] + (span >> 1) + random.below((span >> 1) + 1),
        contour: random.pick(CONTOURS),
        loud: LOUD.includes(close),
        rootless: random.chance(2, 3),
      },
      compass,
    );
    for (const perBeat of orderPaces(variant, brief)) {
      const fixed = { variant, perBeat, voicings, segments, dynamic, progression, second };
      // A pace that cannot be halved has no arc.
      const setup: Setup = halved(perBeat, progression.metre) === perBeat ? fixed : { ...fixed, arc };
      const made = play(setup, brief);
      if (made.ok) return made;
      reason ??= made.problems;
    }
  }
  return fail(...(reason ?? [unsuited(figure.id, brief.milliBpm / 1000, 'a slower tempo')]));
}

/** What each bar sounds, in one word. */
function barWords(segments: readonly Segment[], bars: number): string[] {
  return Array.from({ length: bars }, (_, bar) =>
    segments.flatMap((s) => (s.bar === bar ? [`${s.duration} ${s.chord.text}`] : [])).join(),
  );
}

/** A setup played: with upbeats and an ending in full; where the hands cannot, without, and at last with a plain close. */
function play(setup: Setup, brief: FigureBrief): Result<FigureDraft> {
  const { segments, arc } = setup;
  const { random, milliBpm, progression } = brief;
  const compass = compassOf(brief.instrument);
  const full = drawShape(setup, random);
  const { upbeat: _, ...without } = full;
  const shapes: readonly Shape[] = full.upbeat === undefined ? [full, full] : [full, without, without];
  let reason: readonly Problem[] = [];
  for (const [k, shape] of shapes.entries()) {
    const plain = k === shapes.length - 1;
    const laid = breatheBeforeLeaps(makeNotes(setup, shape, plain, random), setup, milliBpm);
    // The close may be what comes too fast: then a plain one, after a breath.
    const notes = plain ? breathe(laid, setup, milliBpm) : laid;
    const hairpins = arcHairpins(arc ?? null, progression);
    let passage = composePassage(brief, { notes: telling(notes, setup), hairpins });
    let checked = checkHands(passage, compass);
    if (!checked.ok) {
      passage = composePassage(brief, { notes, hairpins });
      checked = checkHands(passage, compass);
    }
    if (!checked.ok) {
      if (reason.length === 0) reason = checked.problems;
      continue;
    }
    if (!plain && busyClose(passage, segments)) continue;
    const changes = segments.map((s) => s.onset);
    return ok({ variant: variantName(setup, shape), passage, craft: craftOf(passage, changes) });
  }
  return fail(...reason);
}

/** Whether the last chord is struck more often, for its length, than any before it. */
function busyClose({ plucks }: Passage, segments: readonly Segment[]): boolean {
  const struck = (s: Segment): number =>
    new Set(plucks.filter((p) => p.onset >= s.onset && p.onset < s.onset + s.duration).map((p) => p.onset))
      .size;
  const last = segments.at(-1);
  return (
    last !== undefined &&
    segments.length > 1 &&
    struck(last) > 2 &&
    segments.slice(0, -1).every((s) => struck(s) * last.duration < struck(last) * s.duration)
  );
}
