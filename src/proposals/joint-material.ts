/** The candidates of the joint choice: drafts, their bars, what each bar asks of the pedals and costs in craft. */

import { HAND_LIMITS, microsOf } from '../figures/limits';
import type { FigureDraft, FigureFamily } from '../figures/types';
import { lineCost } from '../figures/voicing';
import { stringOf } from '../harp/strings';
import type { Hand } from '../music/passage';
import { midiOf } from '../music/pitch';
import { stopsOf } from '../pedals/demands';
import type { PlanOptions } from '../pedals/types';
import { type JointCandidate, type JointOption } from './joint';
import { type BarSlice, cutBars } from './joint-bars';
import { RATES } from './price';
import type { Texture } from './types';

/** Where a hand is when a bar begins or ends. */
interface HandAt {
  readonly onset: number;
  readonly middle: number;
}

interface MaterialBar {
  readonly slice: BarSlice;
  readonly candidate: JointCandidate;
  /** Highest note, MIDI; null for a silent bar. */
  readonly top: number | null;
  readonly first: Readonly<Record<Hand, HandAt | null>>;
  readonly last: Readonly<Record<Hand, HandAt | null>>;
  /** Notes struck. */
  readonly notes: number;
}

/** A draft that may fill any bar. */
export interface Material {
  readonly texture: Texture;
  readonly family: FigureFamily;
  readonly draft: FigureDraft;
  readonly bars: readonly MaterialBar[];
  /** Notes struck in all bars. */
  readonly notes: number;
}

/** Options by what they need, each at its least cost; none that asks more than another and costs as much. */
function leanest(options: readonly JointOption[]): JointOption[] {
  const sorted = [...options].sort((a, b) => a.cost - b.cost || b.needs - a.needs);
  const out: JointOption[] = [];
  for (const o of sorted) if (!out.some((p) => p.needs === o.needs)) out.push(o);
  return out;
}

function handAt(slice: BarSlice, hand: Hand, end: 'first' | 'last'): HandAt | null {
  const own = slice.plucks.filter((p) => p.hand === hand);
  const onset = own.at(end === 'first' ? 0 : -1)?.onset;
  if (onset === undefined) return null;
  const strings = own.filter((p) => p.onset === onset).map((p) => stringOf(p.pitch));
  return { onset, middle: (Math.min(...strings) + Math.max(...strings)) >> 1 };
}

/** Cuts a draft into bars and reads what each asks. */
export function materialOf(
  texture: Texture,
  family: FigureFamily,
  draft: FigureDraft,
  options: PlanOptions,
): Material {
  const slices = cutBars(draft.passage);
  const length = draft.passage.bars[0]?.length ?? 1;
  const stops: (readonly JointOption[])[][] = slices.map(() => []);
  const known = new Map<unknown, JointOption[]>();
  for (const stop of stopsOf(draft.passage, options, {})) {
    let lean = known.get(stop.options);
    if (lean === undefined) {
      lean = leanest(stop.options.map((o) => ({ needs: o.needs, cost: RATES.respelt * o.respelt })));
      known.set(stop.options, lean);
    }
    stops[Math.floor(stop.onset / length)]?.push(lean);
  }
  // Craft points are stated for eight bars.
  const craft = Object.values(draft.craft).reduce((a, b) => a + b, 0);
  const bars = slices.map((slice, b): MaterialBar => {
    const pitches = [...slice.plucks, ...slice.trembles.flatMap((t) => t.notes)].map((n) => midiOf(n.pitch));
    const both = (end: 'first' | 'last') => ({ L: handAt(slice, 'L', end), R: handAt(slice, 'R', end) });
    return {
      slice,
      candidate: { cost: (RATES.craft * craft) >> 3, stops: stops[b] ?? [] },
      top: pitches.length === 0 ? null : Math.max(...pitches),
      first: both('first'),
      last: both('last'),
      notes: pitches.length + slice.sweeps.reduce((n, s) => n + Math.abs(s.to - s.from) + 1, 0),
    };
  });
  return { texture, family, draft, bars, notes: bars.reduce((n, b) => n + b.notes, 0) };
}

/** Points where the texture changes between neighbouring bars. Common practice: a change wants a reason. */
export const CHANGE = { variant: 6, family: 3 } as const;
/** Points where a hand has too little time for a new place, and where it leaps as well. */
const HURRY = 20;
const LEAP = 40;
const FAR = 14;

/** Craft of two neighbouring bars of different drafts: the top line, hands in a hurry, and the change itself. */
export function joinCost(a: Material, b: Material, bar: number, milliBpm: number): number {
  if (a === b) return 0;
  const [left, right] = [a.bars[bar] as MaterialBar, b.bars[bar + 1] as MaterialBar];
  let cost: number = a.family === b.family ? CHANGE.variant : CHANGE.family;
  if (left.top !== null && right.top !== null) cost += lineCost(right.top - left.top) >> 1;
  for (const hand of ['L', 'R'] as const) {
    const [from, to] = [left.last[hand], right.first[hand]];
    if (from === null || to === null) continue;
    const micros = microsOf(to.onset - from.onset, milliBpm);
    const way = Math.abs(to.middle - from.middle);
    if (way > FAR && micros < HAND_LIMITS.leap) cost += LEAP;
    else if (way > 0 && micros < HAND_LIMITS.place) cost += HURRY;
  }
  return cost;
}
