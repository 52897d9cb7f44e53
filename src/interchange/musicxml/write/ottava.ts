/** '8va': stretches of a staff whose notes pile up ledger lines and can be printed an octave lower. */

import type { Ticks } from '../../../base/units';
import { type Mark, directionMark } from './marks';
import { type Clef, type Staff, ledgersFrom } from './staves';
import type { VoicedEvent } from './voices';
import { el } from './xml';

/** More ledger lines than this over the staff pile up. */
const MOST_LEDGERS = 3;
/** An octave lower a note may have so many ledger lines under the staff. */
const MOST_BELOW = 0;
/** What is worth a line: so many onsets that pile up, or two that last so long (two quarters); one alone is read. */
const LEAST_ONSETS = 3;
const LEAST_TICKS = 6720;
const BEAT = 3360;

export interface Stretch {
  readonly staff: Staff;
  readonly from: Ticks;
  readonly to: Ticks;
}

interface Shape {
  readonly event: VoicedEvent;
  readonly piles: boolean;
  readonly fits: boolean;
}

function shapeOf(event: VoicedEvent, clef: Clef): Shape {
  const heads = [
    ...event.heads.map((head) => head.pitch),
    ...(event.goal === null ? [] : [event.goal.pitch]),
  ];
  return {
    event,
    piles: event.heads.some((head) => ledgersFrom(head.pitch, clef) > MOST_LEDGERS),
    fits: heads.every(
      (pitch) =>
        ledgersFrom(pitch, clef) >= 0 &&
        -ledgersFrom({ ...pitch, octave: pitch.octave - 1 }, clef) <= MOST_BELOW,
    ),
  };
}

/** From the first to the last onset that piles up, where that is worth a line. */
function stretchOf(run: readonly Shape[], staff: Staff): Stretch[] {
  let first = run.findIndex((shape) => shape.piles);
  if (first < 0) return [];
  let last = run.findLastIndex((shape) => shape.piles);
  // The line takes in whole beats, so that it begins and ends with a beam.
  const beat = (at: number): number => Math.floor((run[at] as Shape).event.onset / BEAT);
  while (first > 0 && beat(first - 1) === beat(first)) first--;
  while (last + 1 < run.length && beat(last + 1) === beat(last)) last++;
  const inside = run.slice(first, last + 1);
  const onsets = new Set(inside.filter((shape) => shape.piles).map((shape) => shape.event.onset)).size;
  const from = (run[first] as Shape).event.onset;
  const to = inside.reduce((end, { event }) => Math.max(end, event.end), 0) as Ticks;
  const isWorthIt = onsets >= LEAST_ONSETS || (onsets > 1 && to - from >= LEAST_TICKS);
  return isWorthIt ? [{ staff, from, to }] : [];
}

/** Stretches of the upper staff under '8va', in order (common practice). */
export function ottavaStretches(
  events: readonly VoicedEvent[],
  staffOf: (event: VoicedEvent) => Staff,
  clefOf: (event: VoicedEvent, staff: Staff) => Clef,
): Stretch[] {
  const out: Stretch[] = [];
  for (const staff of [1, 2] as const) {
    const own = events.filter((event) => staffOf(event) === staff).sort((a, b) => a.onset - b.onset);
    let run: Shape[] = [];
    /** Until when a note sounds that must not come under the line. */
    let barred = 0;
    const flush = (): void => {
      out.push(...stretchOf(run, staff));
      run = [];
    };
    for (const event of own) {
      const clef = clefOf(event, staff);
      const shape = shapeOf(event, clef);
      if (clef !== 'G' || !shape.fits) {
        // What still sounds beside this note stays outside the line.
        run = run.filter((other) => other.event.end <= event.onset);
        flush();
        barred = Math.max(barred, event.end);
      } else if (event.onset < barred) {
        flush();
      } else {
        run.push(shape);
      }
    }
    flush();
  }
  return out.sort((a, b) => a.from - b.from);
}

/** The lines as `octave-shift`: pitches in the file stay as they sound. */
export function ottavaMarks(stretches: readonly Stretch[]): Mark[] {
  return stretches.flatMap(({ staff, from, to }) => {
    const shift = (onset: Ticks, order: number, type: string): Mark =>
      directionMark(onset, order, {
        placement: 'above',
        staff,
        types: [el('octave-shift', { type, size: 8, number: staff })],
      });
    return [shift(from, 6, 'down'), { ...shift(to, -2, 'stop'), closes: true }];
  });
}
