/** Plays the cells of a figure on given voicings: strokes in time, shifts, endings, a breath before the close. */

import type { Random } from '../base/random';
import { TICKS_PER_QUARTER, ticks } from '../base/units';
import { stringOf } from '../harp/strings';
import { beatTicks } from '../music/metre';
import type { Dynamic, Hand, Technique } from '../music/passage';
import type { Pitch } from '../music/pitch';
import { halved, isSlow } from './arc';
import { type Cell, type Stroke, cellUses, isStroke } from './cells';
import type { Note } from './compose';
import { type EndingChoice, type TimedStep, drawEnding, openEndings, timeEnding } from './ending';
import type { FigureLayer } from './language';
import { HAND_LIMITS, microsOf } from './limits';
import { type Setup, type Shape, cellsFor, dynamicOf, type fillSteps, layerStep } from './phrase';
import { type Segment, stepFor, wishedStep } from './segments';
import { type Tone, ladder } from './spelling';
import { withUpbeats } from './upbeat';
import type { Voicing } from './voicing';

/** Strings that a shift may reach: E1, above the discless ones, and F7. */
const LOWEST = 2;
const HIGHEST = 45;

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
        const silent = s === 'hold' || (isStroke(s) && s.once && !first);
        out.push({ onset: ticks(at), duration: ticks(step), step: silent ? 'rest' : s });
      }
      at += step;
    }
  }
  return out;
}

/** An index beyond the top turns back: three notes asked for their fourth give the second. */
export function fold(index: number, count: number): number {
  if (count === 1) return 0;
  const k = index % (2 * (count - 1));
  return k < count ? k : 2 * (count - 1) - k;
}

/** A pitch moved along the tones of its hand by `shift` of them; it stays on the harp. */
export function shifted(pitch: Pitch, shift: number, tones: readonly Tone[]): Pitch {
  if (shift === 0) return pitch;
  const rungs = ladder(tones, LOWEST, HIGHEST);
  const from = rungs.findIndex((r) => stringOf(r) >= stringOf(pitch));
  return rungs[Math.min(rungs.length - 1, Math.max(0, from + shift))] ?? pitch;
}

function strokeNotes(
  timed: TimedStep,
  stroke: Stroke,
  voicing: Voicing,
  techniqueOf: (hand: Hand) => Technique,
  dynamic: Dynamic,
  ring: boolean,
): Note[] {
  return stroke.notes.flatMap(({ hand, index, shift }) => {
    const [pitches, tones] =
      hand === 'L' ? [voicing.left, voicing.leftTones] : [voicing.right, voicing.rightTones];
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
      pitch: shifted(pitch, shift, tones),
      hand,
      technique,
      dynamic,
      ring,
      roll: stroke.roll,
    }));
  });
}

/** The step that a variant takes on a stretch. */
const variantStep = ({ progression, perBeat, arc }: Setup, s: Segment): number =>
  stepFor(
    s.duration,
    wishedStep(progression, isSlow(arc ?? null, s.bar) ? halved(perBeat, progression.metre) : perBeat),
  );

/** The strokes of one layer on a stretch that is not the last, in time. */
export function layerSteps(setup: Setup, shape: Shape, l: number, s: Segment): TimedStep[] {
  const beat = beatTicks(setup.progression.metre);
  const step = layerStep(setup.variant.layers[l] as FigureLayer, setup, s);
  const options = shape.picks[l] as FigureLayer['play'];
  const second = setup.second?.has(s.bar) === true;
  const cells = cellsFor(options, shape, s.bar, s.duration / step, beat / step, second);
  return timeSteps(cells, s.onset, step);
}

/** The strokes of an ending on the last stretch, in time. */
export const endingSteps = (setup: Setup, s: Segment, cell: Cell): TimedStep[] =>
  timeEnding(cell, s.onset, s.duration, variantStep(setup, s), beatTicks(setup.progression.metre));

/** The endings that suit the last stretch; `plain`: in one stroke. */
export function endingsFor(setup: Setup, s: Segment, plain: boolean): EndingChoice {
  const step = variantStep(setup, s);
  const beat = beatTicks(setup.progression.metre);
  return openEndings(setup.variant.ending, plain ? 1 : s.duration / step, beat / step);
}

/** The notes of a stretch that is not the last. */
export function stretchNotes(setup: Setup, shape: Shape, i: number): Note[] {
  const { variant, segments, voicings } = setup;
  const s = segments[i] as Segment;
  const dynamic = dynamicOf(setup, s.bar);
  return variant.layers.flatMap((layer, l) =>
    layerSteps(setup, shape, l, s).flatMap((t) =>
      isStroke(t.step)
        ? strokeNotes(t, t.step, voicings[i] as Voicing, () => layer.technique, dynamic, layer.ring)
        : [],
    ),
  );
}

/** The notes of the last stretch, closed by an ending. */
export function closingNotes(setup: Setup, i: number, cell: Cell): Note[] {
  const { variant } = setup;
  const s = setup.segments[i] as Segment;
  const dynamic = dynamicOf(setup, s.bar);
  const used = (hand: Hand): Technique =>
    variant.layers.find((l) => l.play.some((a) => a.some((c) => cellUses(c, hand))))?.technique ?? 'ordinary';
  const technique = (hand: Hand): Technique => (used(hand) === 'etouffe' ? 'ordinary' : used(hand));
  const timed = endingSteps(setup, s, cell);
  const lefts = timed.filter((t) => cellUses([t.step], 'L')).length;
  return timed.flatMap((t, k) => {
    if (!isStroke(t.step)) return [];
    // A left hand that plays once holds under the run; the last stroke rings; the run itself is written short.
    const lasting = (hand: Hand): boolean => k === timed.length - 1 || (hand === 'L' && lefts === 1);
    const stroke = t.step;
    return (['L', 'R'] as const).flatMap((hand) => {
      const notes = stroke.notes.filter((n) => n.hand === hand);
      const long = lasting(hand);
      const duration = long ? ticks(s.onset + s.duration - t.onset) : t.duration;
      const voicing = setup.voicings[i] as Voicing;
      return strokeNotes({ ...t, duration }, { ...stroke, notes }, voicing, technique, dynamic, long);
    });
  });
}

/** How much more time than it needs a hand should have for a leap, in tenths. */
const EASE = 15;
/** Strings that a hand reaches without leaving its place. */
const REACH = 9;

/**
 * Without the last note that a hand plays before a leap to the next chord, where it has hardly the time: a breath
 * before the leap. What the hand plays first on a chord stays, and so does what the phrase leads in with.
 */
export function breatheBeforeLeaps(notes: readonly Note[], { segments }: Setup, milliBpm: number): Note[] {
  const out = new Set<Note>();
  for (const hand of ['L', 'R'] as const) {
    const own = notes.filter((n) => n.hand === hand);
    segments.forEach((s, i) => {
      const next = segments[i + 1];
      if (next === undefined) return;
      const here = own.filter((n) => n.onset >= s.onset && n.onset < s.onset + s.duration);
      const there = own.filter((n) => n.onset >= next.onset && n.onset < next.onset + next.duration);
      const [last, first] = [Math.max(...here.map((n) => n.onset)), Math.min(...there.map((n) => n.onset))];
      const middle = (list: readonly Note[], at: number): number => {
        const strings = list.filter((n) => n.onset === at).map((n) => stringOf(n.pitch));
        return (Math.min(...strings) + Math.max(...strings)) >> 1;
      };
      if (here.length === 0 || there.length === 0 || here.every((n) => n.onset === last)) return;
      const way = Math.abs(middle(there, first) - middle(here, last));
      const wanted = (EASE * HAND_LIMITS.leap * way) / 140;
      if (way > REACH && microsOf(first - last, milliBpm) < wanted)
        for (const n of here) if (n.onset === last) out.add(n);
    });
  }
  return notes.filter((n) => !out.has(n));
}

/** Without what a hand plays too close before the last chord to be placed on it: a breath before the close. */
export function breathe(notes: readonly Note[], { segments }: Setup, milliBpm: number): Note[] {
  const close = segments.at(-1)?.onset ?? 0;
  const starts = new Set<number>(segments.map((s) => s.onset));
  const struck = (n: Note): number => notes.filter((o) => o.onset === n.onset && o.hand === n.hand).length;
  return notes.filter((n) => {
    const left = microsOf(close - n.onset, milliBpm);
    if (n.onset >= close || starts.has(n.onset) || left >= HAND_LIMITS.newChord) return true;
    return left >= HAND_LIMITS.place && struck(n) < 2;
  });
}

/** Every note of the figure over the stretches; the last is closed by an ending. `plain`: by one stroke. */
export function makeNotes(setup: Setup, shape: Shape, plain: boolean, random: Random): Note[] {
  const notes = setup.segments.flatMap((s, i) =>
    s.last
      ? closingNotes(setup, i, drawEnding(endingsFor(setup, s, plain), random))
      : stretchNotes(setup, shape, i),
  );
  return shape.upbeat === undefined ? notes : withUpbeats(notes, setup, shape.upbeat);
}
