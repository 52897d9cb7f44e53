/** How a hand's notes may be stacked on a chord: the candidates of each form, each with its own cost. */

import { stringOf } from '../harp/strings';
import { type Pitch, midiOf, octaveShift } from '../music/pitch';
import type { Range } from './register';
import { type SpelledChord, type Tone, ladder } from './spelling';

/**
 * Forms of the left hand, which stand on the bass: the bass; its octave; `low`, the bass and open chord tones above;
 * `tenth`, root, fifth and tenth; `close`, the next chord tones; `every-other` of them, for hands that interlock; `run`
 * and `scale`, a line of chord or scale tones that the hand follows up the harp.
 */
export const LEFT_FORMS = ['bass', 'octave', 'low', 'tenth', 'close', 'every-other', 'run', 'scale'] as const;
/**
 * Forms of the right hand: `close`; `open`, the largest gap under the thumb; `octave`; `filled`, an octave with notes
 * between; `free`, any chord tones that a hand spans; `interlocked`, a chord tone between and above the left hand's; `run` and `scale`, lines; `double`, the left
 * hand an octave higher.
 */
export const RIGHT_FORMS = [
  'close',
  'open',
  'octave',
  'filled',
  'free',
  'interlocked',
  'run',
  'scale',
  'double',
] as const;
export type LeftForm = (typeof LEFT_FORMS)[number];
export type RightForm = (typeof RIGHT_FORMS)[number];

type OneOrMore<T> = T | readonly T[];

export interface LeftSpec {
  /** Of several, whichever voices best. */
  readonly form: OneOrMore<LeftForm>;
  /** Notes of a `low`, `tenth` or `close` hand (2–4) or of a line (up to 16); of several counts, whichever voices best. */
  readonly notes: OneOrMore<number>;
  /** Strings on which the bass may lie. */
  readonly window: Range;
  /** Widest span of a `low` hand in strings; a tenth (9) unless said. */
  readonly reach?: number;
}

export interface RightSpec {
  readonly form: OneOrMore<RightForm>;
  readonly notes: OneOrMore<number>;
  /** Strings on which the whole hand lies. */
  readonly window: Range;
  /** The lowest note follows the left hand's highest closely, for runs from hand to hand. */
  readonly joined: boolean;
  /** The right hand plays alone and stands on the bass itself. */
  readonly onBass?: boolean;
}

/** One way to lay out a hand. */
export interface HandChoice {
  /** From low to high. */
  readonly pitches: readonly Pitch[];
  readonly midi: readonly number[];
  /** Cost of the voicing by itself. */
  readonly cost: number;
  /** The tones that it is made of: what its notes move along when a figure shifts them. */
  readonly tones: readonly Tone[];
}

const C3 = 48;
const F3 = 53;
const TENTH = 9;
const listOf = <T>(x: OneOrMore<T>): readonly T[] => (Array.isArray(x) ? (x as readonly T[]) : [x as T]);
export const at = (hand: HandChoice, i: number): number =>
  hand.midi[i < 0 ? hand.midi.length + i : i] as number;
const spanOf = (pitches: readonly Pitch[]): number =>
  stringOf(pitches.at(-1) as Pitch) - stringOf(pitches[0] as Pitch);
const isLine = (form: LeftForm | RightForm): boolean => form === 'run' || form === 'scale';

/** Semitones between neighbours below C3: nothing smaller than a fifth above the lowest, a fourth above that. */
function wideEnough(midi: readonly number[]): boolean {
  for (let i = 1; i < midi.length; i++) {
    const below = midi[i - 1] as number;
    if (below < C3 && (midi[i] as number) - below < (i === 1 ? 6 : 5)) return false;
  }
  return true;
}

/** Inner clashes and doublings, in points: a ninth rubs, a third doubled is thick, a low tension muddies. */
function ownCost(pitches: readonly Pitch[], midi: readonly number[], tones: readonly Tone[]): number {
  let cost = 0;
  const seen = new Set<number>();
  for (let i = 0; i < midi.length; i++) {
    const m = midi[i] as number;
    const degree = tones.find((t) => t.pc === m % 12)?.degree ?? 0;
    if (seen.has(m % 12)) cost += degree === 1 || degree === 5 ? 1 : degree === 3 ? 4 : 3;
    seen.add(m % 12);
    if (i === 0 && midi.length > 2 && (degree === 9 || degree === 11 || degree === 13)) cost += 2;
    for (let j = 0; j < i; j++) {
      const gap = m - (midi[j] as number);
      if (gap === 13 || (gap === 1 && i === midi.length - 1)) cost += 4;
    }
  }
  if (midi.length >= 3) {
    const gaps = midi.slice(1).map((m, i) => m - (midi[i] as number));
    if ((gaps.at(-1) as number) < Math.max(...gaps)) cost += 1;
    // The fourth finger a fifth from the third is still played, with a grumble.
    if (pitches.length === 4 && stringOf(pitches[1] as Pitch) - stringOf(pitches[0] as Pitch) > 3) cost += 4;
    if (spanOf(pitches) > 8) cost += 1;
  }
  return cost;
}

const makeHand = (pitches: readonly Pitch[], tones: readonly Tone[], line = false): HandChoice => {
  const midi = pitches.map(midiOf);
  return { pitches, midi, cost: line ? 0 : ownCost(pitches, midi, tones), tones };
};

/** Degrees that make a chord what its symbol says: guide tones, then the tensions that the composer asked for. */
const MISSED: Readonly<Record<number, number>> = { 2: 3, 3: 3, 4: 3, 6: 2, 7: 3, 9: 2, 11: 2, 13: 2 };

/** A right-hand chord without what its symbol names says little; three neighbouring seconds are a cluster. */
function chordCost(hand: HandChoice, tones: readonly Tone[]): number {
  if (hand.midi.length < 3) return 0;
  const missed = tones
    .filter((t) => !hand.midi.some((m) => m % 12 === t.pc))
    .reduce((sum, t) => sum + (MISSED[t.degree] ?? 0), 0);
  const clusters = hand.midi.filter((m, i) => i > 1 && m - (hand.midi[i - 2] as number) <= 4).length;
  return missed + 3 * clusters;
}

/** Every choice of `n` from a list, in order. */
function choose<T>(items: readonly T[], n: number): T[][] {
  if (n === 0) return [[]];
  return items.flatMap((item, i) => choose(items.slice(i + 1), n - 1).map((rest) => [item, ...rest]));
}

function basses(spelled: SpelledChord, window: Range): Pitch[] {
  const found = ladder([spelled.bass], window[0], window[1]);
  if (found.length > 0) return found;
  // A narrow window may miss the letter: the next string above, then below.
  const above = ladder([spelled.bass], window[1], window[1] + 6);
  return above.length > 0 ? above : ladder([spelled.bass], window[0] - 6, window[0]);
}

/** The tones of a line: the scale, or the chord with its bass. */
const lineTones = (spelled: SpelledChord, form: LeftForm | RightForm): readonly Tone[] =>
  form === 'scale' && spelled.scale !== undefined
    ? spelled.scale
    : spelled.tones.some((t) => t.pc === spelled.bass.pc)
      ? spelled.tones
      : [...spelled.tones, spelled.bass];

/** Left hands of one form and count on one bass. */
function onBass(
  spelled: SpelledChord,
  bass: Pitch,
  form: LeftForm,
  count: number,
  reach: number,
): HandChoice[] {
  const { tones } = spelled;
  const low = stringOf(bass);
  if (form === 'bass' || count === 1) return [makeHand([bass], tones)];
  if (form === 'octave') return [makeHand([bass, octaveShift(bass, 1)], tones)];
  if (isLine(form)) {
    const rungs = lineTones(spelled, form);
    return [
      makeHand(
        [bass, ...ladder(rungs, low + 1, Math.min(45, low + 3 * count + 7)).slice(0, count - 1)],
        rungs,
        true,
      ),
    ];
  }
  const above = ladder(
    [...tones.filter((t) => t.pc !== spelled.bass.pc), spelled.bass],
    low + 1,
    low + reach,
  );
  if (form === 'close') {
    const hand = [bass, ...above.slice(0, count - 1)];
    return hand.length === count && handShape(hand) ? [makeHand(hand, tones)] : [];
  }
  // Room for a string of the other hand between each two.
  const roomy = (hand: readonly Pitch[]): boolean =>
    hand.every((p, i) => i === 0 || stringOf(p) - stringOf(hand[i - 1] as Pitch) >= 2);
  if (form === 'every-other')
    return choose(above, count - 1)
      .map((rest) => makeHand([bass, ...rest], tones))
      .filter((h) => handShape(h.pitches) && roomy(h.pitches));
  return choose(above, count - 1)
    .map((rest) => makeHand([bass, ...rest], tones))
    .filter((h) => wideEnough(h.midi) && handShape(h.pitches))
    .map((h) => ({
      ...h,
      cost: h.cost + openness(h, spelled) + (form === 'tenth' ? tenthless(h) : 0),
    }));
}

/** The left hand's choices: every form and count on every bass of the window; fewer notes where no count fits. */
export function leftHands(spelled: SpelledChord, spec: LeftSpec): HandChoice[] {
  const counts = listOf(spec.notes);
  return basses(spelled, spec.window).flatMap((bass) => {
    const found = listOf(spec.form).flatMap((form) => {
      const reach = spec.reach ?? TENTH;
      const all = (form === 'bass' || form === 'octave' ? [2] : counts).flatMap((count) =>
        onBass(spelled, bass, form, count, reach),
      );
      for (let n = Math.min(...counts) - 1; n > 1 && all.length === 0; n--)
        all.push(...onBass(spelled, bass, form, n, reach));
      return all;
    });
    return found.length > 0 ? found : [makeHand([bass], spelled.tones)];
  });
}

/** A low hand sounds open on the fifth, octave and tenth; other tones cost. */
function openness(hand: HandChoice, spelled: SpelledChord): number {
  let cost = 0;
  const root = at(hand, 0);
  for (const m of hand.midi.slice(1)) {
    const gap = m - root;
    const degree = spelled.tones.find((t) => t.pc === m % 12)?.degree ?? 1;
    if (degree > 7) cost += 3;
    if (degree === 7 && hand.midi.length === 2) cost += 2;
    // A third or a sixth close above the bass is thick, the lower the thicker.
    if (gap < 10 && degree !== 5 && degree !== 1) cost += root < F3 ? 3 : 1;
  }
  return cost;
}

/** Points for a hand that should open to a tenth with the fifth between, and does not. */
function tenthless(hand: HandChoice): number {
  const gaps = hand.midi.map((m) => m - at(hand, 0));
  const [fifth, tenth] = [gaps.some((g) => g >= 6 && g <= 8), gaps.some((g) => g >= 14 && g <= 17)];
  return (fifth ? 0 : 3) + (tenth ? 0 : 6);
}

/**
 * Spacing of one hand: span within a tenth; lowest two of four within a fifth, the middle two within a fourth;
 * lowest two of three within an octave (common practice).
 */
export function handShape(pitches: readonly Pitch[]): boolean {
  if (pitches.length < 2) return true;
  const strings = pitches.map(stringOf);
  const first = (strings[1] as number) - (strings[0] as number);
  if (Math.max(...strings) - Math.min(...strings) > TENTH) return false;
  if (strings.some((s, i) => i > 0 && s <= (strings[i - 1] as number))) return false;
  if (pitches.length === 4) return first <= 4 && (strings[2] as number) - (strings[1] as number) <= 3;
  return pitches.length !== 3 || first <= 7;
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
function freeHands(rungs: readonly Pitch[], notes: number, tones: readonly Tone[]): HandChoice[] {
  return rungs.flatMap((low, i) => {
    const inside = rungs.slice(i + 1).filter((p) => stringOf(p) - stringOf(low) <= TENTH);
    return choose(inside, notes - 1)
      .map((rest) => [low, ...rest])
      .filter(handShape)
      .map((pitches) => {
        const hand = makeHand(pitches, tones);
        return { ...hand, cost: hand.cost + chordCost(hand, tones) };
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
    return freeHands(low, notes, tones).filter((h) => onBass(h.pitches));
  }
  const reached = line ? open.filter((p) => stringOf(p) <= spec.window[1]) : open;
  const found = stacks(reached, form, notes, spec.joined ? 3 : reached.length).filter(onBass);
  const inside = found.filter((h) => stringOf(h.at(-1) as Pitch) <= spec.window[1]);
  const usable = inside.length > 0 ? inside : found.slice(0, 1);
  return usable.map((pitches) => {
    const hand = makeHand(pitches, tones, line);
    return line ? hand : { ...hand, cost: hand.cost + chordCost(hand, tones) };
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
