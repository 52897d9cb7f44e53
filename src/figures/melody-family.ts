/** A family for one given melody: the right hand sings it, with chord tones under it, the left hand accompanies. */

import givenMelody from '../../presets/figures/given-melody.json';
import type { Problem } from '../base/problem';
import { type Result, fail, ok } from '../base/result';
import { ticks } from '../base/units';
import { stringOf } from '../harp/strings';
import { barTicks, beatTicks } from '../music/metre';
import type { Dynamic } from '../music/passage';
import { midiOf } from '../music/pitch';
import { type Note, composePassage } from './compose';
import { craftOf } from './craft';
import { leftSpecOf, orderPaces, rightSpecOf, unsuited } from './interpreter';
import { type Figure, readFigure } from './language';
import { checkHands } from './limits';
import type { MelodyNote } from './melody';
import { variantName } from './naming';
import { drawShape } from './phrase';
import { breathe, makeNotes } from './play';
import { compassOf } from './register';
import { type Segment, segmentsOf } from './segments';
import { ladder } from './spelling';
import type { FigureBrief, FigureDraft, FigureFamily } from './types';
import { voice } from './voicing';

/** How the left hand may accompany: a figure of the language in which only it plays. */
function accompaniments(): Figure {
  const read = readFigure(givenMelody);
  if (!read.ok) throw new Error(read.problems.map((p) => `${p.value}: ${p.limit}`).join('; '));
  return read.value;
}

/** The id of the family, whatever the melody. */
export const GIVEN_MELODY = 'given-melody';

/** Strings under the thumb that a chord below a melody note may reach: an octave. */
const UNDER = 7;

const sung = (n: MelodyNote, dynamic: Dynamic, ring: boolean): Note => ({
  onset: n.onset,
  duration: n.duration,
  pitch: n.pitch,
  hand: 'R',
  technique: 'ordinary',
  dynamic,
  ring,
  roll: null,
});

/** Up to two chord tones under each melody note of a beat or more that begins a chord: what it lacks first. */
function underneath(
  melody: readonly MelodyNote[],
  segments: readonly Segment[],
  left: readonly Note[],
  beat: number,
  dynamic: Dynamic,
): Note[] {
  return segments.flatMap((s) => {
    const top = melody.find((n) => n.onset === s.onset && n.duration >= beat);
    if (top === undefined) return [];
    const inside = left.filter((n) => n.onset >= s.onset && n.onset < s.onset + s.duration);
    const floor = Math.max(11, ...inside.map((n) => stringOf(n.pitch) + 1));
    const high = stringOf(top.pitch);
    const taken = new Set([midiOf(top.pitch) % 12]);
    const tones = s.spelled.tones
      .filter((t) => !taken.has(t.pc) && t.letter !== top.pitch.letter)
      .slice(0, 2);
    return ladder(tones, Math.max(floor, high - UNDER), high - 2)
      .reverse()
      .filter((p, i, all) => all.findIndex((o) => o.letter === p.letter) === i)
      .map((pitch) => ({ ...sung({ ...top, pitch }, dynamic, s.last), duration: top.duration }));
  });
}

function draft(figure: Figure, melody: readonly MelodyNote[], brief: FigureBrief): Result<FigureDraft> {
  const { progression, random } = brief;
  const segments = segmentsOf(progression);
  const compass = compassOf(brief.instrument);
  if (segments.length === 0) return fail(unsuited(figure.id, 'no chord', 'a chord'));
  const end = barTicks(progression.metre) * progression.barCount;
  const past = melody.find((n) => n.onset + n.duration > end);
  if (past !== undefined)
    return fail(unsuited(figure.id, 'a melody longer than the chords', `${progression.barCount} bars`));
  const dynamic = brief.dynamic ?? random.pick(figure.dynamics);
  const beat = beatTicks(progression.metre);
  const lowest = Math.min(...melody.map((n) => stringOf(n.pitch)));
  const full = random.chance(1, 2);
  const singing = melody.map((n, i) => sung(n, dynamic, i === melody.length - 1));
  let reason: readonly Problem[] | null = null;
  for (const variant of random.shuffle(figure.variants)) {
    const left = leftSpecOf(variant, random.pick(variant.left.windows));
    const voicings = voice(
      segments,
      {
        left,
        right: rightSpecOf(variant, variant.right.windows[0] as [string, string]),
        aim: 30,
        rootless: false,
      },
      compass,
    );
    for (const perBeat of orderPaces(variant, brief)) {
      const setup = { variant, perBeat, voicings, segments, dynamic, progression };
      const shape = drawShape(setup, random);
      const played = breathe(makeNotes(setup, shape, false, random), setup, brief.milliBpm);
      // The left hand stays under the melody; its bass may lie on the lowest string of it, not above.
      const carried = played.filter((n) => {
        const above = singing.filter((m) => m.onset <= n.onset && m.onset + m.duration > n.onset);
        return above.every((m) => stringOf(m.pitch) > stringOf(n.pitch)) && stringOf(n.pitch) <= lowest + 14;
      });
      for (const thick of full ? [true, false] : [false]) {
        const chords = thick ? underneath(melody, segments, carried, beat, dynamic) : [];
        const passage = composePassage(brief, { notes: [...carried, ...singing, ...chords] });
        const checked = checkHands(passage, compass);
        if (!checked.ok) {
          reason ??= checked.problems;
          continue;
        }
        return ok({
          variant: `${variantName(setup, shape)}${thick ? ', chords under the melody' : ''}`,
          passage,
          craft: craftOf(
            passage,
            segments.map((s) => s.onset),
          ),
        });
      }
    }
  }
  return fail(...(reason ?? [unsuited(figure.id, brief.milliBpm / 1000, 'a slower tempo')]));
}

/** The family that plays a melody; it lasts as long as the chords at most. Ticks count from the first bar. */
export function melodyFamily(melody: readonly MelodyNote[]): FigureFamily {
  const figure = accompaniments();
  const notes = [...melody].map((n) => ({ ...n, onset: ticks(n.onset) }));
  return {
    id: figure.id,
    name: figure.name,
    serves: figure.serves,
    draft: (brief) => draft(figure, notes, brief),
  };
}
