/** Pedal moves as the terminal shows them. */

import type { PlannedPassage } from '../harp/planned';
import { barAndBeat } from '../music/metre';
import { tempoMap } from '../music/tempo';
import { shownSeconds } from './args';
import { shownBeat } from './problems';

/** The contract's form of a plan's moves, by onset. */
export function shownMoves({ passage, moves }: PlannedPassage) {
  const map = tempoMap(passage.tempo);
  return moves.map((m) => {
    const { bar, beat } = barAndBeat(passage.bars, m.onset);
    return {
      bar,
      beat: shownBeat(beat),
      seconds: shownSeconds(map.secondsAt(m.onset)),
      letter: m.letter,
      from: m.from,
      to: m.to,
      foot: m.foot,
    };
  });
}
