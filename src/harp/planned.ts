/** A passage whose strings and pedals are settled: every pitch is spelt as it is played. */

import type { Ticks } from '../base/units';
import type { Letter } from '../music/pitch';
import type { Passage } from '../music/passage';
import type { Instrument } from './instrument';
import { type Foot, type Position, type Setting, withPosition } from './setting';

/** One pedal, from one position to another, by one foot; it stands anew at `onset`. */
export interface Move {
  readonly onset: Ticks;
  readonly letter: Letter;
  readonly from: Position;
  readonly to: Position;
  readonly foot: Foot;
}

export interface PlannedPassage {
  /** Respelt: `stringOf(pluck.pitch)` is the string that is plucked. */
  readonly passage: Passage;
  readonly instrument: Instrument;
  readonly start: Setting;
  /** Sorted by onset. */
  readonly moves: readonly Move[];
  /** The inflection of each discless string that is used, by string index. */
  readonly tuning: Readonly<Record<number, Position>>;
}

/** The setting in force at a tick, moves of that instant included: what stands from then on. */
export function settingAt(planned: PlannedPassage, at: Ticks): Setting {
  let setting = planned.start;
  for (const move of planned.moves) {
    if (move.onset > at) break;
    setting = withPosition(setting, move.letter, move.to);
  }
  return setting;
}

/**
 * The setting with which a note of this pitch, plucked at a tick, sounds. A pedal may move at the very onset of the
 * last pluck that needs its old position: that pluck comes before the move, one that needs the new comes after it.
 */
export function settingStruck(
  planned: PlannedPassage,
  at: Ticks,
  pitch: { readonly letter: Letter; readonly alter: number },
): Setting {
  const after = settingAt(planned, at);
  const moved = planned.moves.find((m) => m.onset === at && m.letter === pitch.letter);
  const before = moved !== undefined && moved.to !== pitch.alter && moved.from === pitch.alter;
  return before ? withPosition(after, moved.letter, moved.from) : after;
}

/** The setting after the last move. */
export const finalSetting = (planned: PlannedPassage): Setting =>
  planned.moves.reduce((setting, move) => withPosition(setting, move.letter, move.to), planned.start);
