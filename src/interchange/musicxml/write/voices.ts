/** Gives each event a voice: as few as the overlaps of a hand allow, the highest line first. */

import { type Ticks, ticks } from '../../../base/units';
import type { Hand } from '../../../music/passage';
import { diatonicIndex } from '../../../music/pitch';
import type { Head, PrintEvent } from './events';

export interface VoicedEvent extends PrintEvent {
  /** 1–4 right hand, 5–8 left. */
  readonly voice: number;
  /** Both hands of the bar are in voice 1, under beams over both staves. */
  readonly across: boolean;
}

/** A hand has four voices in the file. */
const VOICES_OF_A_HAND = 4;

const middle = (event: PrintEvent): number =>
  event.heads.reduce((sum, head) => sum + diatonicIndex(head.pitch), 0) / event.heads.length;

/** Cuts off what a fifth voice would need: the string rings on, so it is printed with a tie into the air. */
const shortened = (event: PrintEvent, end: Ticks): PrintEvent => ({
  ...event,
  end,
  heads: event.heads.map((head): Head => ({ ...head, ring: true })),
});

/** Lines of one stretch of overlapping events, each line free of overlaps. */
function lines(events: readonly PrintEvent[]): PrintEvent[][] {
  const out: PrintEvent[][] = [];
  const last = (line: readonly PrintEvent[]) => line.at(-1) as PrintEvent;
  for (const event of events) {
    const free = out.filter((line) => last(line).end <= event.onset);
    if (free.length > 0) {
      const far = (line: readonly PrintEvent[]) =>
        Math.abs(middle(last(line)) - middle(event)) + (last(line).end === event.onset ? 0 : 7);
      free.sort((a, b) => far(a) - far(b));
      (free[0] as PrintEvent[]).push(event);
    } else if (out.length < VOICES_OF_A_HAND) {
      out.push([event]);
    } else {
      const held = out.filter((line) => last(line).onset < event.onset);
      held.sort((a, b) => last(a).onset - last(b).onset);
      const line = held[0];
      if (line === undefined) {
        // Five lengths at one onset: the fifth joins the chord whose length is nearest.
        const near = out.reduce((a, b) =>
          Math.abs(last(a).end - event.end) <= Math.abs(last(b).end - event.end) ? a : b,
        );
        const chord = last(near);
        near[near.length - 1] = { ...chord, heads: [...chord.heads, ...event.heads] };
      } else {
        line[line.length - 1] = shortened(last(line), event.onset);
        line.push(event);
      }
    }
  }
  const height = (line: readonly PrintEvent[]) => line.reduce((s, e) => s + middle(e), 0) / line.length;
  return out.sort((a, b) => height(b) - height(a));
}

/** Voices for all events, in the order given. */
export function giveVoices(events: readonly PrintEvent[]): VoicedEvent[] {
  const out: VoicedEvent[] = [];
  for (const hand of ['R', 'L'] as const satisfies readonly Hand[]) {
    const base = hand === 'R' ? 1 : 5;
    let stretch: PrintEvent[] = [];
    let reach = ticks(0);
    const flush = () => {
      lines(stretch).forEach((line, i) => {
        for (const event of line) out.push({ ...event, voice: base + i, across: false });
      });
      stretch = [];
    };
    for (const event of events) {
      if (event.hand !== hand) continue;
      if (event.onset >= reach) flush();
      stretch.push(event);
      reach = ticks(Math.max(reach, event.end));
    }
    flush();
  }
  return out;
}
