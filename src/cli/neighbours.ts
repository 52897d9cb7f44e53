/** Cheaper neighbours as the terminal shows them. */

import { type Bar, barAndBeat, barAt, beatTicks } from '../music/metre';
import { type Pitch, pitchName } from '../music/pitch';
import type { Neighbour } from '../proposals/neighbours';
import { shownBeat } from './problems';

export interface ShownNeighbour {
  readonly bar: string;
  readonly beat: number;
  readonly message: string;
  /** Pedal moves saved. */
  readonly saves: number;
  /** Moves in a hurry saved. */
  readonly savesHasty: number;
  /** True where the part has no pedal plan without the change. */
  readonly mends: boolean;
  readonly ids: readonly string[];
}

const namesOf = (pitches: readonly Pitch[]): string => {
  const names = [...new Set(pitches.map(pitchName))];
  return names.length < 2 ? names.join('') : `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`;
};

const count = (n: number, one: string, many: string): string => `${n} ${n === 1 ? one : many}`;

function gain(n: Neighbour): string {
  if (n.mends) return 'it can be played';
  if (n.saves > 0) return `${count(n.saves, 'pedal move is', 'pedal moves are')} saved`;
  return `${count(n.savesHasty, 'pedal move is', 'pedal moves are')} no longer in a hurry`;
}

/** The contract's form of a neighbour; its sentence stands without its place. */
export function shownNeighbour(n: Neighbour, bars: readonly Bar[]): ShownNeighbour {
  const { bar, beat } = barAndBeat(bars, n.onset);
  const { change } = n;
  const what =
    change.kind === 'leave-out'
      ? `without ${namesOf(change.from)}`
      : change.kind === 'replace'
        ? `with ${namesOf(change.to)} in place of ${namesOf(change.from)}`
        : `with this chord ${change.by === beatTicks(barAt(bars, n.onset).metre) ? 'a beat' : 'somewhat'} later`;
  return {
    bar,
    beat: shownBeat(beat),
    message: `${what}, ${gain(n)}.`,
    saves: n.saves,
    savesHasty: n.savesHasty,
    mends: n.mends,
    ids: change.ids,
  };
}

export const neighbourLine = (n: ShownNeighbour): string => `bar ${n.bar}, beat ${n.beat}: ${n.message}`;
