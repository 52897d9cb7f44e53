/** Plays a figure of the language over a progression: voices the chords, fills the steps, checks the hands. */

import type { Problem } from '../base/problem';
import type { Random } from '../base/random';
import { type Result, fail, ok } from '../base/result';
import { TICKS_PER_QUARTER, ticks } from '../base/units';
import { beatTicks, isCompound } from '../music/metre';
import type { Dynamic, Hand, Technique } from '../music/passage';
import type { Progression } from '../harmony/types';
import { type Note, composePassage } from './compose';
import { craftOf } from './craft';
import { type TimedStep, pickEnding, timeEnding } from './ending';
import type { Cell, Figure, FigureLayer, FigureVariant, Stroke } from './language';
import { START, checkHands, microsOf } from './limits';
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

/** Paces in the order to try: those of a liked rate by chance, then the rest from the nearest below. */
function orderPaces(variant: FigureVariant, brief: FigureBrief): number[] {
  const { metre } = brief.progression;
  const beat = microsOf(beatTicks(metre), brief.milliBpm);
  const rate = (n: number): number => (n * 1_000_000) / beat;
  const all = paces(variant.perBeat, isCompound(metre));
  const [least, most] = variant.rate;
  const liked = all.filter((n) => rate(n) >= least && rate(n) <= most);
  const slower = all.filter((n) => rate(n) < least).sort((a, b) => b - a);
  return [...brief.random.shuffle(liked), ...slower];
}

/** Whether lengths of two and more add up to `steps`. */
function adds(lengths: readonly number[], steps: number): boolean {
  return steps === 0 || lengths.some((n) => n > 1 && n <= steps && adds(lengths, steps - n));
}

/**
 * Cells that fill `steps`: the longest of three steps or more that divides them, else the longest after which
 * others still fill the rest, else the longest that fits; a single longer cell is cut.
 */
export function fillSteps(
  cells: readonly Cell[],
  steps: number,
): { readonly cell: Cell; readonly first: boolean }[] {
  const byLength = [...cells].sort((a, b) => b.length - a.length);
  const lengths = byLength.map((c) => c.length);
  const even = byLength.find((c) => c.length > 2 && steps % c.length === 0);
  const out: { cell: Cell; first: boolean }[] = [];
  let left = steps;
  while (left > 0) {
    const rest = left;
    const cell =
      even ??
      byLength.find((c) => c.length <= rest && c.length > 1 && adds(lengths, rest - c.length)) ??
      byLength.find((c) => c.length <= rest) ??
      (byLength.at(-1) as Cell);
    const used = cell.length > left ? cell.slice(0, left) : cell;
    out.push({ cell: used, first: out.length === 0 });
    left -= used.length;
  }
  return out;
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

interface Setup {
  readonly variant: FigureVariant;
  readonly perBeat: number;
  readonly voicings: readonly Voicing[];
  readonly segments: readonly Segment[];
  readonly dynamic: Dynamic;
  readonly progression: Progression;
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
          : pitches.slice((index - 1) % pitches.length).slice(0, 1);
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

/** The step of a layer on a stretch of a chord, in ticks. */
const layerStep = (layer: FigureLayer, setup: Setup, s: Segment): number =>
  stepFor(
    s.duration,
    layer.every === 'chord'
      ? Infinity
      : wishedStep(setup.progression, layer.every === 'beat' ? 1 : setup.perBeat),
  );

function makeNotes(setup: Setup, random: Random): Note[] {
  const { variant, segments, voicings, dynamic, progression } = setup;
  const beat = beatTicks(progression.metre);
  const picks = variant.layers.map((layer) => random.shuffle(layer.play));
  // Every fourth bar may turn to another cell, so that phrases have a shape.
  const turning = random.chance(1, 2);
  const notes: Note[] = [];
  segments.forEach((s, i) => {
    const voicing = voicings[i] as Voicing;
    if (s.last) {
      const step = stepFor(s.duration, wishedStep(progression, setup.perBeat));
      const cell = pickEnding(variant.ending, s.duration / step, random);
      const used = (hand: Hand): Technique =>
        variant.layers.find((l) => l.play.some((a) => a.some((c) => cellUses(c, hand))))?.technique ??
        'ordinary';
      const technique = (hand: Hand): Technique => (used(hand) === 'etouffe' ? 'ordinary' : used(hand));
      for (const t of timeEnding(cell, s.onset, s.duration, step, beat)) {
        if (t.step === 'rest' || t.step === 'hold') continue;
        const toEnd = { ...t, duration: ticks(s.onset + s.duration - t.onset) };
        notes.push(...strokeNotes(toEnd, t.step, voicing, technique, dynamic, true));
      }
      return;
    }
    variant.layers.forEach((layer, l) => {
      const options = picks[l] as FigureLayer['play'];
      const cells = (turning && s.bar % 4 === 3 ? options[1] : undefined) ?? (options[0] as Cell[]);
      const step = layerStep(layer, setup, s);
      for (const t of timeSteps(fillSteps(cells, s.duration / step), s.onset, step)) {
        if (t.step === 'rest' || t.step === 'hold') continue;
        notes.push(...strokeNotes(t, t.step, voicing, () => layer.technique, dynamic, layer.ring));
      }
    });
  });
  return notes;
}

const cellUses = (cell: Cell, hand: Hand): boolean =>
  cell.some((s) => s !== 'rest' && s !== 'hold' && s.notes.some((n) => n.hand === hand));

const window = (names: readonly [string, string]): Range => [stringNamed(names[0]), stringNamed(names[1])];

const PACE_NAMES: Readonly<Record<number, string>> = {
  0: 'once a chord',
  0.5: 'every other beat',
  1: 'on the beat',
  2: 'eighths',
  3: 'triplets',
  4: 'sixteenths',
  6: 'sextuplets',
  8: 'thirty-seconds',
};
const COMPOUND_NAMES: Readonly<Record<number, string>> = {
  ...PACE_NAMES,
  3: 'eighths',
  6: 'sixteenths',
  12: 'thirty-seconds',
};

/** A family that plays a figure. Refuses with the first breach of the hands where no variant and pace suits. */
export function familyOf(figure: Figure): FigureFamily {
  return { id: figure.id, name: figure.name, serves: figure.serves, draft: (brief) => draft(figure, brief) };
}

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
        rootless: random.chance(2, 3),
      },
      compass,
    );
    for (const perBeat of orderPaces(variant, brief)) {
      const setup = { variant, perBeat, voicings, segments, dynamic, progression };
      const passage = composePassage(brief, { notes: makeNotes(setup, random) });
      const checked = checkHands(passage, compass);
      if (!checked.ok) {
        reason ??= checked.problems;
        continue;
      }
      const names = isCompound(progression.metre) ? COMPOUND_NAMES : PACE_NAMES;
      return ok({
        variant: `${variant.name}, ${names[perBeat] ?? String(perBeat)}`,
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
