/** Plays a figure of the language over a progression: voices the chords, fills the steps, checks the hands. */

import type { Problem } from '../base/problem';
import type { Random } from '../base/random';
import { type Result, fail, ok } from '../base/result';
import { TICKS_PER_QUARTER, ticks } from '../base/units';
import { barTicks, beatTicks, isCompound } from '../music/metre';
import type { Dynamic, Hand, Passage, Technique } from '../music/passage';
import type { Pitch } from '../music/pitch';
import { type Note, composePassage } from './compose';
import { craftOf } from './craft';
import { type TimedStep, pickEnding, timeEnding } from './ending';
import type { Cell, Figure, FigureLayer, FigureVariant, Stroke } from './language';
import { variantName } from './naming';
import { type Setup, type Shape, cellsFor, drawShape, type fillSteps, layerStep } from './phrase';
import { HAND_LIMITS, START, checkHands, microsOf } from './limits';
import { type Range, compassOf, stringNamed } from './register';
import { type Segment, segmentsOf, stepFor, wishedStep } from './segments';
import type { FigureBrief, FigureDraft, FigureFamily } from './types';
import { type Voicing, voice } from './voicing';

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
function paces(perBeat: readonly number[], compound: boolean): number[] {
  if (!compound) return [...perBeat];
  const turned = perBeat.map((n) => (n === 2 ? 3 : n === 4 ? 6 : n === 8 ? 12 : n));
  return [...new Set(turned)];
}

/**
 * Paces in the order to try: those of a liked rate by chance, then the rest from the nearest below, then little faster
 * ones. A step of two beats goes last where the bar holds an odd number of them: it would be one step a bar.
 */
function orderPaces(variant: FigureVariant, brief: FigureBrief): number[] {
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

/** Strokes with their times; a hold lengthens the stroke before, a rest ends it. */
function timeSteps(cells: ReturnType<typeof fillSteps>, onset: number, step: number): TimedStep[] {
  const out: TimedStep[] = [];
  let at = onset;
  for (const { cell, first } of cells) {
    for (const s of cell) {
      const before = out.at(-1);
      if (s === 'hold' && before !== undefined) {
        out[out.length - 1] = { ...before, duration: ticks(before.duration + step) };
      } else {
        const silent = s === 'hold' || (s !== 'rest' && s.once && !first);
        out.push({ onset: ticks(at), duration: ticks(step), step: silent ? 'rest' : s });
      }
      at += step;
    }
  }
  return out;
}

/** An index beyond the top turns back: three notes asked for their fourth give the second. */
function fold(index: number, count: number): number {
  if (count === 1) return 0;
  const k = index % (2 * (count - 1));
  return k < count ? k : 2 * (count - 1) - k;
}

function strokeNotes(
  timed: TimedStep,
  stroke: Stroke,
  voicing: Voicing,
  techniqueOf: (hand: Hand) => Technique,
  dynamic: Dynamic,
  ring: boolean,
): Note[] {
  return stroke.notes.flatMap(({ hand, index }) => {
    const pitches = hand === 'L' ? voicing.left : voicing.right;
    const chosen =
      index === 'all'
        ? pitches
        : index === 'top'
          ? pitches.slice(-1)
          : [pitches[fold(index - 1, pitches.length)] as Pitch];
    const technique = techniqueOf(hand);
    // What is damped at once is written short.
    const duration =
      technique === 'etouffe' ? ticks(Math.min(timed.duration, TICKS_PER_QUARTER)) : timed.duration;
    return chosen.map((pitch) => ({
      onset: timed.onset,
      duration,
      pitch,
      hand,
      technique,
      dynamic,
      ring,
      roll: stroke.roll,
    }));
  });
}

function closingNotes(setup: Setup, s: Segment, voicing: Voicing, plain: boolean, random: Random): Note[] {
  const { variant, progression, dynamic } = setup;
  const beat = beatTicks(progression.metre);
  const step = stepFor(s.duration, wishedStep(progression, setup.perBeat));
  const cell = pickEnding(variant.ending, plain ? 1 : s.duration / step, beat / step, random);
  const used = (hand: Hand): Technique =>
    variant.layers.find((l) => l.play.some((a) => a.some((c) => cellUses(c, hand))))?.technique ?? 'ordinary';
  const technique = (hand: Hand): Technique => (used(hand) === 'etouffe' ? 'ordinary' : used(hand));
  const timed = timeEnding(cell, s.onset, s.duration, step, beat);
  const lefts = timed.filter((t) => cellUses([t.step], 'L')).length;
  return timed.flatMap((t, i) => {
    if (t.step === 'rest' || t.step === 'hold') return [];
    // A left hand that plays once holds under the run; the last stroke rings; the run itself is written short.
    const lasting = (hand: Hand): boolean => i === timed.length - 1 || (hand === 'L' && lefts === 1);
    const stroke = t.step;
    return (['L', 'R'] as const).flatMap((hand) => {
      const notes = stroke.notes.filter((n) => n.hand === hand);
      const long = lasting(hand);
      const duration = long ? ticks(s.onset + s.duration - t.onset) : t.duration;
      return strokeNotes({ ...t, duration }, { ...stroke, notes }, voicing, technique, dynamic, long);
    });
  });
}

/** Without what a hand plays too close before the last chord to be placed on it: a breath before the close. */
function breathe(notes: readonly Note[], { segments }: Setup, milliBpm: number): Note[] {
  const close = segments.at(-1)?.onset ?? 0;
  const starts = new Set<number>(segments.map((s) => s.onset));
  const struck = (n: Note): number => notes.filter((o) => o.onset === n.onset && o.hand === n.hand).length;
  return notes.filter((n) => {
    const left = microsOf(close - n.onset, milliBpm);
    if (n.onset >= close || starts.has(n.onset) || left >= HAND_LIMITS.newChord) return true;
    return left >= HAND_LIMITS.place && struck(n) < 2;
  });
}

function makeNotes(setup: Setup, shape: Shape, plain: boolean, random: Random): Note[] {
  const { variant, segments, voicings, dynamic, progression } = setup;
  const beat = beatTicks(progression.metre);
  return segments.flatMap((s, i) => {
    const voicing = voicings[i] as Voicing;
    if (s.last) return closingNotes(setup, s, voicing, plain, random);
    return variant.layers.flatMap((layer, l) => {
      const step = layerStep(layer, setup, s);
      const options = shape.picks[l] as FigureLayer['play'];
      const cells = cellsFor(options, shape, s.bar, s.duration / step, beat / step);
      return timeSteps(cells, s.onset, step).flatMap((t) =>
        t.step === 'rest' || t.step === 'hold'
          ? []
          : strokeNotes(t, t.step, voicing, () => layer.technique, dynamic, layer.ring),
      );
    });
  });
}

const cellUses = (cell: Cell, hand: Hand): boolean =>
  cell.some((s) => s !== 'rest' && s !== 'hold' && s.notes.some((n) => n.hand === hand));

const window = (names: readonly [string, string]): Range => [stringNamed(names[0]), stringNamed(names[1])];

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

function draft(figure: Figure, brief: FigureBrief): Result<FigureDraft> {
  const { progression, random } = brief;
  const segments = segmentsOf(progression);
  const compass = compassOf(brief.instrument);
  if (segments.length === 0) return fail(unsuited(figure.id, 'no chord', 'a chord'));
  let reason: readonly Problem[] | null = null;
  const dynamic = brief.dynamic ?? random.pick(figure.dynamics);
  for (const variant of random.shuffle(figure.variants)) {
    const leftWindow = window(random.pick(variant.left.windows));
    const rightWindow = window(random.pick(variant.right.windows));
    const span = rightWindow[1] - rightWindow[0];
    const voicings = voice(
      segments,
      {
        left: { form: variant.left.form, notes: variant.left.notes, window: leftWindow },
        right: {
          form: variant.right.form,
          notes: variant.right.notes,
          window: rightWindow,
          joined: variant.right.joined,
        },
        aim: rightWindow[0] + (span >> 1) + random.below((span >> 1) + 1),
        contour: random.pick(CONTOURS),
        rootless: random.chance(2, 3),
      },
      compass,
    );
    for (const perBeat of orderPaces(variant, brief)) {
      const setup = { variant, perBeat, voicings, segments, dynamic, progression };
      const shape = drawShape(setup, random);
      const compose = (plain: boolean): Passage => {
        const notes = makeNotes(setup, shape, plain, random);
        return composePassage(brief, { notes: plain ? breathe(notes, setup, brief.milliBpm) : notes });
      };
      let passage = compose(false);
      let checked = checkHands(passage, compass);
      if (!checked.ok) {
        // The close may be what comes too fast: then a plain one, after a breath.
        passage = compose(true);
        checked = checkHands(passage, compass);
      }
      if (!checked.ok) {
        reason ??= checked.problems;
        continue;
      }
      return ok({
        variant: variantName(setup, shape),
        passage,
        craft: craftOf(
          passage,
          segments.map((s) => s.onset),
        ),
      });
    }
  }
  return fail(...(reason ?? [unsuited(figure.id, brief.milliBpm / 1000, 'a slower tempo')]));
}
