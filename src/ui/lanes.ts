/** The seven pedals over time, as a picture needs them: where each stands, when it moves, when its strings ring. */

import { type Micros, type Ticks, micros } from '../base/units';
import { perform } from '../harp/performance';
import type { Move, PlannedPassage } from '../harp/planned';
import { type Foot, PEDALS, type Position, footOf, positionOf } from '../harp/setting';
import { stringLetter } from '../harp/strings';
import { passageEnd } from '../music/passage';
import type { Letter } from '../music/pitch';
import { tempoMap } from '../music/tempo';
import { NEPERS_60, stringModel } from '../sound/string-model';
import { stringFrequency } from '../sound/tuning';

/** A pedal standing in one position; the end is the next move, or the passage's end. */
export interface Stay {
  readonly from: Ticks;
  readonly to: Ticks;
  readonly position: Position;
}
/** A string of the letter that rings: from its pluck until it is damped, plucked again or 30 dB down. */
export interface Ring {
  readonly from: Ticks;
  readonly to: Ticks;
}
export interface Lane {
  readonly letter: Letter;
  readonly foot: Foot;
  readonly stays: readonly Stay[];
  readonly moves: readonly Move[];
  /** Merged: when any string of the letter rings. */
  readonly rings: readonly Ring[];
}

/** Seconds until a string has fallen by 30 dB: half of its first partial's T60 (sound/string-model). */
export function audibleSeconds(string: number): number {
  const { dampingBase, dampingSlope } = stringModel(string);
  const f = stringFrequency(string, 0);
  return NEPERS_60 / (dampingBase + dampingSlope * f * f) / 2;
}

function merged(rings: readonly Ring[]): Ring[] {
  const out: Ring[] = [];
  for (const ring of [...rings].sort((a, b) => a.from - b.from)) {
    const last = out.at(-1);
    if (last !== undefined && ring.from <= last.to) {
      if (ring.to > last.to) out[out.length - 1] = { from: last.from, to: ring.to };
    } else out.push(ring);
  }
  return out;
}

/** Seven lanes in the order of the feet: D C B, then E F G A. */
export function pedalLanes(planned: PlannedPassage): Lane[] {
  const end = passageEnd(planned.passage);
  const map = tempoMap(planned.passage.tempo);
  const ringing = new Map<Letter, Ring[]>();
  for (const note of perform(planned)) {
    const dies = note.onset + Math.round(audibleSeconds(note.string) * 1_000_000);
    const until = Math.min(dies, note.release ?? Infinity) as Micros;
    const letter = stringLetter(note.string);
    const list = ringing.get(letter) ?? [];
    list.push({ from: note.tick, to: Math.min(end, map.ticksAt(micros(until))) as Ticks });
    ringing.set(letter, list);
  }
  return PEDALS.map((letter) => {
    const moves = planned.moves.filter((m) => m.letter === letter);
    const stays: Stay[] = [];
    let [from, position] = [0 as Ticks, positionOf(planned.start, letter)];
    for (const move of moves) {
      stays.push({ from, to: move.onset, position });
      [from, position] = [move.onset, move.to];
    }
    stays.push({ from, to: end, position });
    return { letter, foot: footOf(letter), stays, moves, rings: merged(ringing.get(letter) ?? []) };
  });
}
