/** What the tools under the pedals ask and show: the options of the plan on the desk, and its changes as sheets. */

import { CONCERT_HARP, type Instrument } from '../harp/instrument';
import type { PlannedPassage } from '../harp/planned';
import { spellingName } from '../music/pitch';
import { barAndBeat, barAt } from '../music/metre';
import { tempoMap } from '../music/tempo';
import { defaultPlanOptions } from '../pedals/plan';
import type { PlanOptions } from '../pedals/types';
import { type ShownNeighbour, shownNeighbour } from '../proposals/neighbour-words';
import type { Neighbour } from '../proposals/neighbours';
import type { Split } from '../proposals/two-harps';
import type { Sheet } from './sheet';
import { type Input, requestOf } from './work';

/** The options under which the passage on the desk is planned: those of the list asked for; null for a part. */
export function steeredPlan(asked: Input | null, instrument: Instrument = CONCERT_HARP): PlanOptions {
  if (asked === null) return { ...defaultPlanOptions, instrument };
  const { aim, start, steering } = requestOf(asked);
  return { ...defaultPlanOptions, ...steering?.pedals, aim, start, instrument };
}

/** A cheaper neighbour to be shown, heard and put on the desk. */
export interface Offer {
  readonly words: ShownNeighbour;
  readonly sheet: Sheet;
  /** Where to listen from: the bar before the change, in seconds. */
  readonly from: number;
}

export function offersOf(sheet: Sheet, found: readonly Neighbour[]): Offer[] {
  const { bars } = sheet.planned.passage;
  return found.map((n, i) => {
    const { passage } = n.planned;
    const bar = passage.bars[Math.max(0, barAt(passage.bars, n.onset).index - 1)];
    return {
      words: shownNeighbour(n, bars),
      sheet: {
        planned: n.planned,
        familyName: sheet.familyName,
        family: `${sheet.family}-changed-${i + 1}`,
      },
      from: bar === undefined ? 0 : tempoMap(passage.tempo).secondsAt(bar.start),
    };
  });
}

/** Both parts of a division as sheets of their own. */
export const harpSheets = (sheet: Sheet, { harps }: Split): readonly [Sheet, Sheet] => [
  { planned: harps[0].planned, familyName: 'Harp I', family: `${sheet.family}-harp-1` },
  { planned: harps[1].planned, familyName: 'Harp II', family: `${sheet.family}-harp-2` },
];

/** 'bar 2, beat 3: F♯, right foot', in the order of the moves. */
export function moveLines({ passage, moves }: PlannedPassage): string[] {
  return moves.map((m) => {
    const { bar, beat } = barAndBeat(passage.bars, m.onset);
    return `bar ${bar}, beat ${Math.round(beat * 100) / 100}: ${spellingName(m.letter, m.to)}, ${m.foot} foot`;
  });
}
