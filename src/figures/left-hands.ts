/** Left hands on a chord: every form and count of notes that stands on a bass of the window, each with its cost. */

import { stringOf } from '../harp/strings';
import { type Pitch, octaveShift } from '../music/pitch';
import {
  type HandChoice,
  type LeftForm,
  type LeftSpec,
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
import { type SpelledChord, ladder } from './spelling';

const C3 = 48;
const F3 = 53;

/** Semitones between neighbours below C3: nothing smaller than a fifth above the lowest, a fourth above that. */
function wideEnough(midi: readonly number[]): boolean {
  for (let i = 1; i < midi.length; i++) {
    const below = midi[i - 1] as number;
    if (below < C3 && (midi[i] as number) - below < (i === 1 ? 6 : 5)) return false;
  }
  return true;
}

function basses(spelled: SpelledChord, window: Range): Pitch[] {
  const found = ladder([spelled.bass], window[0], window[1]);
  if (found.length > 0) return found;
  // A narrow window may miss the letter: the next string above, then below.
  const above = ladder([spelled.bass], window[1], window[1] + 6);
  return above.length > 0 ? above : ladder([spelled.bass], window[0] - 6, window[0]);
}

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
      cost: h.cost + openness(h, spelled) + unopened(h, form),
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

/** Points for a hand that should open to a tenth, or an octave, with the fifth between, and does not. */
function unopened(hand: HandChoice, form: LeftForm): number {
  if (form !== 'tenth' && form !== 'eighth') return 0;
  const gaps = hand.midi.map((m) => m - at(hand, 0));
  const fifth = gaps.some((g) => g >= 6 && g <= 8);
  const top = gaps.some((g) => (form === 'tenth' ? g >= 14 && g <= 17 : g === 12));
  return (fifth ? 0 : 3) + (top ? 0 : 6);
}
