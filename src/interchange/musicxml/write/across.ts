/** Figures that pass from hand to hand: bars that are written as one voice, under beams over both staves. */

import { type Bar, barAt } from '../../../music/metre';
import type { VoicedEvent } from './voices';

const QUARTER = 3360;

/** Whether these events of one bar, both hands', are one line that passes between the hands. */
function passesOver(bar: Bar, events: readonly VoicedEvent[]): boolean {
  const ordered = [...events].sort((a, b) => a.onset - b.onset);
  let shared = 0;
  for (const [i, event] of ordered.entries()) {
    if (event.onset < bar.start || event.end > bar.start + bar.length) return false;
    if (event.kind !== 'pluck') return false;
    const next = ordered[i + 1];
    if (next === undefined) break;
    if (event.end > next.onset) return false;
    const short = event.end - event.onset < QUARTER && next.end - next.onset < QUARTER;
    if (short && event.hand !== next.hand && event.end === next.onset) shared++;
  }
  return shared > 0;
}

/**
 * The same events, those of both hands in voice 1 in each bar where a short note of one hand is followed at once by
 * a short note of the other, and no note sounds beside another.
 */
export function joinHands(events: readonly VoicedEvent[], bars: readonly Bar[]): VoicedEvent[] {
  const byBar = new Map<number, VoicedEvent[]>();
  const reaching = new Set<number>();
  for (const event of events) {
    const { index } = barAt(bars, event.onset);
    byBar.set(index, [...(byBar.get(index) ?? []), event]);
    for (let i = index + 1; i < bars.length && (bars[i] as Bar).start < event.end; i++) reaching.add(i);
  }
  const joined = new Set<VoicedEvent>();
  for (const [index, own] of byBar) {
    const bar = bars[index] as Bar;
    if (!reaching.has(index) && passesOver(bar, own)) for (const event of own) joined.add(event);
  }
  return events
    .map((event): VoicedEvent => (joined.has(event) ? { ...event, voice: 1, across: true } : event))
    .sort((a, b) => a.voice - b.voice || a.onset - b.onset);
}
