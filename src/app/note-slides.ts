/** Pedal slides that the user wrote, note by note: where one can go and when, what was asked, and the list with it. */

import type { Passage } from '../music/passage';
import { barAndBeat, countTicks } from '../music/metre';
import type { Instrument } from '../harp/instrument';
import { stringOf } from '../harp/strings';
import { type Ticks, ticks } from '../base/units';
import type { Pitch } from '../music/pitch';
import { type NoteSlide, ringsUntil } from '../proposals/note-slide';
import { fixAt } from './note-fixes';

/** The list of slides that belongs to what lies on the desk, and the way to change it. */
export interface Sliding {
  readonly slides: readonly NoteSlide[];
  readonly set: (slides: readonly NoteSlide[]) => void;
}

export interface SlideChoice {
  /** The note, as a slide names it. */
  readonly note: NoteSlide['note'];
  /** Positions of its pedal that it can go to. */
  readonly goals: readonly NoteSlide['to'][];
  /** Half beats of its bar and the next on which it still rings. */
  readonly places: readonly NoteSlide['at'][];
  /** What was asked of it, or null. */
  readonly asked: NoteSlide | null;
}

const sameNote = (a: NoteSlide['note'], b: NoteSlide['note']): boolean =>
  a.bar === b.bar &&
  Math.abs(a.beat - b.beat) <= 0.0011 &&
  a.letter === b.letter &&
  (a.octave === null || b.octave === null || a.octave === b.octave);

/** With this slide in place of what was asked of its note before. */
export const withSlide = (slides: readonly NoteSlide[], slide: NoteSlide): NoteSlide[] => [
  ...slides.filter((s) => !sameNote(s.note, slide.note)),
  slide,
];

/** With nothing asked of this note. */
export const withoutSlide = (slides: readonly NoteSlide[], note: NoteSlide['note']): NoteSlide[] =>
  slides.filter((s) => !sameNote(s.note, note));

/** Half beats after an onset, to the end of the next bar. */
function halfBeats({ bars }: Passage, onset: Ticks): Ticks[] {
  const at = bars.findIndex((b) => b.start <= onset && onset < b.start + b.length);
  return bars.slice(at, at + 2).flatMap((bar) => {
    const half = countTicks(bar.metre) / 2;
    const count = Math.ceil(bar.length / half);
    return Array.from({ length: count }, (_, i) => ticks(bar.start + i * half)).filter((t) => t > onset);
  });
}

/** Where a plucked note can slide; null for what no pedal reaches, what is damped, and what is no single pluck. */
export function slideChoice(
  { slides }: Sliding,
  passage: Passage,
  instrument: Instrument,
  id: string,
  pitch: Pitch,
): SlideChoice | null {
  const pluck = passage.plucks.find((p) => p.id === id);
  if (pluck === undefined || instrument.discless.includes(stringOf(pitch))) return null;
  const note = fixAt(passage.bars, pluck.onset, pitch);
  const until = ringsUntil(passage, { ...pluck, pitch });
  if (note === null || until === null) return null;
  const places = halfBeats(passage, pluck.onset)
    .filter((t) => t < until)
    .map((t) => barAndBeat(passage.bars, t));
  const asked = slides.find((s) => sameNote(s.note, note)) ?? null;
  if (places.length === 0 && asked === null) return null;
  const goals = ([-1, 0, 1] as const).filter((to) => to !== pitch.alter);
  return { note, goals, places, asked };
}
