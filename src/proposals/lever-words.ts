/** A plan of levers in words, for page and terminal alike. */

import type { LeverHarp } from '../harp/instrument';
import { stringPitch } from '../harp/strings';
import { barAndBeat } from '../music/metre';
import { pitchName } from '../music/pitch';
import type { LeverPlan } from '../pedals/lever-types';
import { type Lever, openPosition } from '../pedals/lever-types';

/** 'A♭3' with the lever down, 'A3' with it up. */
export const leverSound = (harp: LeverHarp, string: number, lever: Lever): string =>
  pitchName(stringPitch(string, (openPosition(harp, string) + lever) as -1 | 0 | 1));

/** What sounds from the strings whose levers are up at first: 'F♯4 C♯5'. */
export const leversUp = ({ harp, start }: LeverPlan): string[] => start.map((s) => leverSound(harp, s, 1));

/** 'bar 2, beat 3: F♯4', in the order of the moves. */
export function leverLines({ passage, harp, moves }: LeverPlan): string[] {
  return moves.map((m) => {
    const { bar, beat } = barAndBeat(passage.bars, m.onset);
    return `bar ${bar}, beat ${Math.round(beat * 100) / 100}: ${leverSound(harp, m.string, m.to)}`;
  });
}
