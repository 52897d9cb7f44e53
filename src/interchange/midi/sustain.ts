/** The sustaining pedal of a MIDI file: controller 64, from 64 on down (MIDI 1.0). */

import type { MidiEvent } from 'midi-file';
import { type Ticks, ticks } from '../../base/units';

const SUSTAIN = 64;
const DOWN = 64;

/**
 * The spans in which the pedal is held, on whichever channel, in order; one that is never lifted has no end and is left
 * out. Events with ticks, ascending; ends are put on the notes' grid by `onGrid`, and what is empty there goes.
 */
export function sustainSpans(
  events: readonly (MidiEvent & { readonly at: number })[],
  onGrid: (at: number) => number,
): { readonly from: Ticks; readonly to: Ticks }[] {
  const out: { from: Ticks; to: Ticks }[] = [];
  const held = new Set<number>();
  let from = 0;
  for (const event of events) {
    if (event.type !== 'controller' || event.controllerType !== SUSTAIN) continue;
    const was = held.size > 0;
    if (event.value >= DOWN) held.add(event.channel);
    else held.delete(event.channel);
    if (was === held.size > 0) continue;
    if (!was) from = event.at;
    else {
      const [start, end] = [onGrid(from), onGrid(event.at)];
      if (end > start) out.push({ from: ticks(start), to: ticks(end) });
    }
  }
  return out;
}
