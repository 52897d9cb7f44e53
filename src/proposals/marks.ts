/** A plan read from the pedal marks that a part carries. */

import type { Ticks } from '../base/units';
import type { Instrument } from '../harp/instrument';
import type { Move, PlannedPassage } from '../harp/planned';
import { PEDALS, type Position, type Setting, footOf, positionOf, withPosition } from '../harp/setting';
import { stringOf } from '../harp/strings';
import type { Passage } from '../music/passage';
import type { Letter } from '../music/pitch';

/** Pedal marks in the order of the score. */
export interface PedalMarks {
  /** Diagrams: all seven pedals at an onset. */
  readonly settings: readonly { readonly onset: Ticks; readonly setting: Setting }[];
  /** Single changes. */
  readonly moves: readonly { readonly onset: Ticks; readonly letter: Letter; readonly to: Position }[];
}

/** What a discless string is tuned to: the first inflection that the part asks of it. */
function tuningOf(passage: Passage, instrument: Instrument): Record<number, Position> {
  const tuning: Record<number, Position> = {};
  for (const { pitch } of passage.plucks) {
    const string = stringOf(pitch);
    if (instrument.discless.includes(string) && tuning[string] === undefined && Math.abs(pitch.alter) <= 1) {
      tuning[string] = pitch.alter as Position;
    }
  }
  return tuning;
}

/**
 * The planned passage that the marks describe, or null where no diagram stands at or before the first onset.
 * Later diagrams count as the moves that they imply at their place.
 */
export function planFromMarks(
  passage: Passage,
  marks: PedalMarks,
  instrument: Instrument,
): PlannedPassage | null {
  const first = Math.min(...[...passage.plucks, ...passage.sweeps, ...passage.trembles].map((x) => x.onset));
  const opening = marks.settings[0];
  if (opening === undefined || opening.onset > first) return null;
  const moves: Move[] = [];
  let standing = opening.setting;
  const move = (onset: Ticks, letter: Letter, to: Position): void => {
    const from = positionOf(standing, letter);
    if (from === to) return;
    moves.push({ onset, letter, from, to, foot: footOf(letter) });
    standing = withPosition(standing, letter, to);
  };
  const steps = [
    ...marks.moves.map((m) => ({ onset: m.onset, apply: () => move(m.onset, m.letter, m.to) })),
    ...marks.settings.slice(1).map((s) => ({
      onset: s.onset,
      apply: () => PEDALS.forEach((letter) => move(s.onset, letter, positionOf(s.setting, letter))),
    })),
  ].sort((a, b) => a.onset - b.onset);
  for (const step of steps) step.apply();
  return { passage, instrument, start: opening.setting, moves, tuning: tuningOf(passage, instrument) };
}
