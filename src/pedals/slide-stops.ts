/** Deliberate slides among the stops: which can be made, and what they ask of the stop at which they arrive. */

import type { Ticks } from '../base/units';
import type { Position } from '../harp/setting';
import { stringOf } from '../harp/strings';
import type { Slide } from '../music/passage';
import type { Note, Option, SpellingRules } from './demand-types';
import { mergePartials, partialOf } from './tables';

/** A slide goes from a pluck that rings to another inflection of the same string, reached by a pedal. */
export function slidesWell(
  pluck: Note & { readonly onset: Ticks },
  slide: Slide,
  rules: SpellingRules,
): boolean {
  return (
    slide.onset > pluck.onset &&
    slide.to.letter === pluck.pitch.letter &&
    slide.to.octave === pluck.pitch.octave &&
    slide.to.alter !== pluck.pitch.alter &&
    Math.abs(slide.to.alter) <= 1 &&
    !rules.instrument.discless.includes(stringOf(pluck.pitch))
  );
}

/** An option of the stop at which slides arrive: their pedals stand there; none where it forbids that. */
export function slideTo(option: Option, slides: readonly Slide[]): Option[] {
  let needs: number = option.needs;
  for (const { to } of slides) {
    needs = mergePartials(needs, partialOf(to.letter, to.alter as Position));
    if (needs < 0) return [];
  }
  return [{ ...option, needs }];
}
