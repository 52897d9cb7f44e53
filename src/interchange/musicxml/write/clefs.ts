/** Which clef each staff has in each bar: treble over bass, changed only where a stretch would pile up ledger lines. */

import type { Bar } from '../../../music/metre';
import { barAt } from '../../../music/metre';
import type { Hand } from '../../../music/passage';
import type { PrintEvent } from './events';
import { type Clef, type ClefOf, type Staff, headCost } from './staves';

/** What a hand's notes of one bar cost in ledger lines under each clef. */
type Costs = Readonly<Record<Clef, number>>;

function costsByBar(events: readonly PrintEvent[], bars: readonly Bar[], hand: Hand): Map<number, Costs> {
  const out = new Map<number, { G: number; F: number }>();
  for (const event of events) {
    // A sweep runs over both staves whatever their clefs.
    const swept = event.of !== null && event.kind !== 'tremble';
    if (event.hand !== hand || swept) continue;
    const { index } = barAt(bars, event.onset);
    const costs = out.get(index) ?? { G: 0, F: 0 };
    for (const head of event.heads) {
      costs.G += headCost(head.pitch, 'G');
      costs.F += headCost(head.pitch, 'F');
    }
    out.set(index, costs);
  }
  return out;
}

/** Price of one change of clef, in the units of `headCost`: few changes are made, and none for a note or two. */
const CHANGE = 24;

/**
 * The cheapest clef of a staff in each bar, changed as late as may be. Where the other hand is silent its staff is free
 * and is taken: neither clef costs more than the other there.
 */
function cheapestClefs(
  count: number,
  own: ReadonlyMap<number, Costs>,
  other: ReadonlyMap<number, Costs>,
  usual: Clef,
): Clef[] {
  const turned: Clef = usual === 'G' ? 'F' : 'G';
  const clefs = [usual, turned] as const;
  const best: { cost: number; from: 0 | 1 }[][] = [];
  for (let bar = 0; bar < count; bar++) {
    const costs = other.has(bar) ? own.get(bar) : undefined;
    const before = best[bar - 1];
    best.push(
      clefs.map((clef, i) => {
        const same = before?.[i]?.cost ?? (i === 0 ? 0 : CHANGE);
        const changed = (before?.[1 - i]?.cost ?? Infinity) + CHANGE;
        const from = (same <= changed ? i : 1 - i) as 0 | 1;
        return { cost: Math.min(same, changed) + (costs?.[clef] ?? 0), from };
      }),
    );
  }
  const out: Clef[] = [];
  const end = best.at(-1);
  let at: 0 | 1 = end !== undefined && (end[1]?.cost ?? Infinity) < (end[0]?.cost ?? 0) ? 1 : 0;
  for (let bar = count - 1; bar >= 0; bar--) {
    out[bar] = clefs[at];
    at = best[bar]?.[at]?.from ?? 0;
  }
  return out;
}

/** The clefs of a part, by bar index. */
export function giveClefs(events: readonly PrintEvent[], bars: readonly Bar[]): ClefOf {
  const right = costsByBar(events, bars, 'R');
  const left = costsByBar(events, bars, 'L');
  const upper = cheapestClefs(bars.length, right, left, 'G');
  const lower = cheapestClefs(bars.length, left, right, 'F');
  return (bar: number, staff: Staff): Clef => (staff === 1 ? (upper[bar] ?? 'G') : (lower[bar] ?? 'F'));
}
