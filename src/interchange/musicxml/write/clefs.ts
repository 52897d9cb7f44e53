/** Which clef each staff has in each bar: treble over bass, changed only where a stretch would pile up ledger lines. */

import type { Bar } from '../../../music/metre';
import { barAt } from '../../../music/metre';
import type { Hand } from '../../../music/passage';
import { diatonicIndex } from '../../../music/pitch';
import type { PrintEvent } from './events';
import type { Clef, ClefOf, Staff } from './staves';

/** A hand's notes in one bar, as steps from C0. */
interface Extent {
  lowest: number;
  highest: number;
  notes: number;
}

/** Middle C, and the first steps that need four ledger lines: B4 over the bass staff, D3 under the treble. */
const MIDDLE_C = 28;
const FOUR_OVER_BASS = 34;
const FOUR_UNDER_TREBLE = 22;
/** Notes that make a bar a stretch of its own; fewer want a second bar like it. */
const STRETCH_NOTES = 6;

function extents(events: readonly PrintEvent[], bars: readonly Bar[], hand: Hand): Map<number, Extent> {
  const out = new Map<number, Extent>();
  for (const event of events) {
    if (event.hand !== hand) continue;
    const { index } = barAt(bars, event.onset);
    const extent = out.get(index) ?? { lowest: 99, highest: 0, notes: 0 };
    for (const head of [...event.heads, ...(event.goal === null ? [] : [event.goal])]) {
      const step = diatonicIndex(head.pitch);
      extent.lowest = Math.min(extent.lowest, step);
      extent.highest = Math.max(extent.highest, step);
      extent.notes++;
    }
    out.set(index, extent);
  }
  return out;
}

/**
 * Bars in which a staff has the other clef: its hand stays beyond middle C, four ledger lines out at least once, the
 * other hand plays too (else its staff is free and taken), and the stretch is worth two changes.
 */
function turned(
  own: ReadonlyMap<number, Extent>,
  other: ReadonlyMap<number, Extent>,
  beyond: (extent: Extent) => boolean,
  far: (extent: Extent) => boolean,
): Set<number> {
  const out = new Set<number>();
  let run: number[] = [];
  const flush = (): void => {
    const extent = run.map((bar) => own.get(bar) as Extent);
    const notes = extent.reduce((sum, each) => sum + each.notes, 0);
    if (extent.some(far) && (run.length > 1 || notes >= STRETCH_NOTES)) for (const bar of run) out.add(bar);
    run = [];
  };
  for (const [bar, extent] of [...own].sort((a, b) => a[0] - b[0])) {
    if (run.length > 0 && bar !== (run.at(-1) as number) + 1) flush();
    if (beyond(extent) && other.has(bar)) run.push(bar);
    else flush();
  }
  flush();
  return out;
}

/** The clefs of a part, by bar index. */
export function giveClefs(events: readonly PrintEvent[], bars: readonly Bar[]): ClefOf {
  const right = extents(events, bars, 'R');
  const left = extents(events, bars, 'L');
  const treble = turned(
    left,
    right,
    (extent) => extent.lowest >= MIDDLE_C,
    (extent) => extent.highest >= FOUR_OVER_BASS,
  );
  const bass = turned(
    right,
    left,
    (extent) => extent.highest <= MIDDLE_C,
    (extent) => extent.lowest <= FOUR_UNDER_TREBLE,
  );
  return (bar: number, staff: Staff): Clef =>
    staff === 1 ? (bass.has(bar) ? 'F' : 'G') : treble.has(bar) ? 'G' : 'F';
}
