/** Right hands above a left one: every form and count of notes in the window, each with its cost. */

import { stringOf } from '../harp/strings';
import { type Pitch, midiOf, octaveShift } from '../music/pitch';
import {
  type HandChoice,
  type RightForm,
  type RightSpec,
  TENTH,
  at,
  choose,
  handShape,
  isLine,
  lineTones,
  listOf,
  makeHand,
} from './hand-forms';
import type { Range } from './register';
import { type SpelledChord, type Tone, ladder } from './spelling';

/** Degrees that make a chord what its symbol says: guide tones, then the tensions that the composer asked for. */
const MISSED: Readonly<Record<number, number>> = { 2: 40, 3: 40, 4: 40, 6: 5, 7: 8, 9: 3, 11: 3, 13: 3 };

/** Points for each note of a line that the end of the window cuts off: one note over and over is no line. */
const CUT_SHORT = 5;

/** A right-hand chord without what its symbol names says little; three neighbouring seconds are a cluster. */
function chordCost(hand: HandChoice, tones: readonly Tone[], left: HandChoice): number {
  if (hand.midi.length < 2) return 0;
  const heard = hand.midi.length < 3 ? [...hand.midi, ...left.midi] : hand.midi;
  const missed = tones
    .filter((t) => !heard.some((m) => m % 12 === t.pc))
    .reduce((sum, t) => sum + (MISSED[t.degree] ?? 0), 0);
  const clusters = hand.midi.filter((m, i) => i > 1 && m - (hand.midi[i - 2] as number) <= 4).length;
  return missed + 3 * clusters;
}

/** The tones that a hand of `notes` above a bass uses: telling ones first, at most four. */
export function upperTones(spelled: SpelledChord, notes: number, rootless: boolean): readonly Tone[] {
  const wanted = Math.min(4, Math.max(notes, 3));
  const rich = spelled.tones.length > wanted || (rootless && spelled.tones.length > 3);
  const pool = rich && rootless ? spelled.tones.filter((t) => t !== spelled.root) : spelled.tones;
  return pool.slice(0, wanted);
}

/** Chords of one form and number of notes on the rungs, in the hand's shape; lines as long as asked. */
function stacks(rungs: readonly Pitch[], form: RightForm, notes: number, starts: number): Pitch[][] {
  const out: Pitch[][] = [];
  for (let i = 0; i < Math.min(starts, rungs.length); i++) {
    const low = rungs[i] as Pitch;
    if (form === 'filled' && notes > 2) {
      const top = octaveShift(low, 1);
      const inside = rungs.slice(i + 1).filter((p) => stringOf(p) < stringOf(top));
      out.push(...choose(inside, notes - 2).map((inner) => [low, ...inner, top]));
      continue;
    }
    const upper =
      form === 'octave' || form === 'filled'
        ? [octaveShift(low, 1)]
        : form === 'open' && notes > 1
          ? [...rungs.slice(i + 1, i + notes - 1), ...rungs.slice(i + notes, i + notes + 1)]
          : rungs.slice(i + 1, i + notes);
    const hand = [low, ...upper];
    // A line may end with the window.
    if (isLine(form) || hand.length === (form === 'octave' ? 2 : notes)) out.push(hand);
  }
  return isLine(form) ? out : out.filter(handShape);
}

/** Strings for a right hand above a left one. */
const above = (spec: RightSpec, left: HandChoice): Range => {
  const floor = Math.max(spec.window[0], stringOf(left.pitches.at(-1) as Pitch) + 1);
  return [floor, Math.max(spec.window[1], floor + TENTH)];
};

/** Right hands that lie in the left: a tone between each two of its notes, and one above its top. */
function between(left: HandChoice): HandChoice[] {
  const { pitches, tones } = left;
  const rungs = ladder(tones, stringOf(pitches[0] as Pitch), 45);
  let hands: Pitch[][] = [[]];
  pitches.forEach((p, i) => {
    const low = stringOf(p);
    const high = i + 1 < pitches.length ? stringOf(pitches[i + 1] as Pitch) : low + 6;
    const inside = rungs.filter((r) => stringOf(r) > low && stringOf(r) < high);
    hands = hands.flatMap((hand) => inside.map((r) => [...hand, r]));
  });
  // Both hands together should say the chord.
  return hands.map((hand) => {
    const made = makeHand(hand, tones);
    const both = [...left.midi, ...made.midi].map((m) => m % 12);
    const missed = tones.filter((t) => !both.includes(t.pc));
    return { ...made, cost: made.cost + missed.reduce((n, t) => n + (MISSED[t.degree] ?? 0), 0) };
  });
}

/** Hands of any chord tones within a tenth: on each lowest note the few that sound best. */
const BEST_OF_A_RUNG = 6;
function freeHands(
  rungs: readonly Pitch[],
  notes: number,
  tones: readonly Tone[],
  left: HandChoice,
): HandChoice[] {
  return rungs.flatMap((low, i) => {
    const inside = rungs.slice(i + 1).filter((p) => stringOf(p) - stringOf(low) <= TENTH);
    return choose(inside, notes - 1)
      .map((rest) => [low, ...rest])
      .filter(handShape)
      .map((pitches) => {
        const hand = makeHand(pitches, tones);
        return { ...hand, cost: hand.cost + chordCost(hand, tones, left) };
      })
      .sort((a, b) => a.cost - b.cost)
      .slice(0, BEST_OF_A_RUNG);
  });
}

/** Choices of one form and count; none where nothing fits. */
function ofForm(
  spelled: SpelledChord,
  spec: RightSpec,
  left: HandChoice,
  rootless: boolean,
  form: RightForm,
  notes: number,
): HandChoice[] {
  if (form === 'double') {
    const doubled = left.pitches.map((p) => octaveShift(p, 1));
    return [makeHand(doubled, left.tones, true)];
  }
  if (form === 'interlocked') return between(left).filter((h) => handShape(h.pitches));
  const line = isLine(form);
  const tones = line
    ? lineTones(spelled, form)
    : upperTones(spelled, form === 'octave' || form === 'filled' ? 3 : notes, rootless);
  const rungs =
    spec.onBass === true
      ? ladder([...tones.filter((t) => t.letter !== spelled.bass.letter), spelled.bass], spec.window[0], 45)
      : ladder(tones, ...above(spec, left));
  const onBass = (hand: readonly Pitch[]): boolean =>
    spec.onBass !== true || midiOf(hand[0] as Pitch) % 12 === spelled.bass.pc;
  const open = spec.onBass === true ? rungs : rungs.filter((p) => midiOf(p) > at(left, -1));
  if (form === 'free') {
    const low = open.filter((p) => stringOf(p) <= spec.window[1]);
    return freeHands(low, notes, tones, left).filter((h) => onBass(h.pitches));
  }
  const reached = line ? open.filter((p) => stringOf(p) <= spec.window[1]) : open;
  const found = stacks(reached, form, notes, spec.joined ? 3 : reached.length).filter(onBass);
  const inside = found.filter((h) => stringOf(h.at(-1) as Pitch) <= spec.window[1]);
  const usable = inside.length > 0 ? inside : found.slice(0, 1);
  const longest = Math.max(0, ...usable.map((pitches) => pitches.length));
  return usable.map((pitches) => {
    const hand = makeHand(pitches, tones, line);
    const lost = line ? CUT_SHORT * (longest - pitches.length) : chordCost(hand, tones, left);
    return { ...hand, cost: hand.cost + lost };
  });
}

/** The right hand's choices above a left hand; fewer notes than asked where a chord of few tones spreads too far. */
export function rightHands(
  spelled: SpelledChord,
  spec: RightSpec,
  left: HandChoice,
  rootless: boolean,
): HandChoice[] {
  const counts = listOf(spec.notes);
  const forms = listOf(spec.form);
  const asked = forms.flatMap((form) =>
    (form === 'octave' || form === 'double' ? [2] : counts).flatMap((notes) =>
      ofForm(spelled, spec, left, rootless, form, notes),
    ),
  );
  if (asked.length > 0) return asked;
  for (let notes = Math.max(...counts); notes > 0; notes--) {
    for (const form of [...forms, 'close'] as const) {
      const found = ofForm(spelled, spec, left, rootless, form, notes);
      if (found.length > 0) return found;
    }
  }
  // Nothing of the chord above the left hand: cannot be, since rungs reach a tenth above it.
  return [makeHand([octaveShift(left.pitches.at(-1) as Pitch, 1)], spelled.tones)];
}
