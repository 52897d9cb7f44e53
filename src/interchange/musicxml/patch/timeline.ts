/** Where the elements of a measure stand in time, and what holds in it: divisions, key, octaves. */

import { TICKS_PER_QUARTER } from '../../../base/units';
import { type Node, node, nodes, numberOf, textOf } from './lossless';

/** What holds at the start of a measure. */
export interface Standing {
  /** Divisions to the quarter. */
  readonly divisions: number;
  readonly fifths: number;
  /** Octaves that the part sounds above what is written. */
  readonly octaves: number;
  readonly staves: number;
}

export interface TimedNote {
  readonly node: Node;
  /** Ticks from the start of the measure, rounded. */
  readonly at: number;
  /** Ticks, rounded; 0 for a small note. */
  readonly length: number;
  readonly voice: number;
  readonly staff: 1 | 2;
  readonly chord: boolean;
  readonly grace: boolean;
  readonly rest: boolean;
}

export interface Timeline {
  readonly notes: readonly TimedNote[];
  /** Where the measure's last element leaves the cursor, and how far it came, in ticks. */
  readonly end: number;
  readonly reach: number;
}

export const voiceOf = (note: Node): number => Number.parseInt(textOf(node(note, 'voice')) || '1', 10) || 1;
export const staffOf = (note: Node): 1 | 2 => (textOf(node(note, 'staff')) === '2' ? 2 : 1);

/** Takes up the attributes of a measure, wherever in it they stand. */
export function standingAfter(measure: Node, before: Standing): Standing {
  return nodes(measure, 'attributes').reduce((standing, attributes) => {
    const transpose = node(attributes, 'transpose');
    const chromatic = numberOf(transpose, 'chromatic') ?? 0;
    return {
      divisions: numberOf(attributes, 'divisions') ?? standing.divisions,
      fifths: numberOf(node(attributes, 'key'), 'fifths') ?? standing.fifths,
      octaves:
        transpose === undefined
          ? standing.octaves
          : Math.round(chromatic / 12) + (numberOf(transpose, 'octave-change') ?? 0),
      staves: numberOf(attributes, 'staves') ?? standing.staves,
    };
  }, before);
}

/** The directions of a measure with the ticks at which they stand, offsets included, rounded. */
export function directionsOf(
  measure: Node,
  standing: Standing,
): { readonly node: Node; readonly at: number }[] {
  let { divisions } = standing;
  let cursor = 0;
  const out: { node: Node; at: number }[] = [];
  const inTicks = (n: number): number => (n * TICKS_PER_QUARTER) / divisions;
  for (const element of nodes(measure)) {
    const duration = inTicks(Math.max(0, numberOf(element, 'duration') ?? 0));
    if (element.name === 'attributes') divisions = numberOf(element, 'divisions') ?? divisions;
    else if (element.name === 'backup') cursor = Math.max(0, cursor - duration);
    else if (element.name === 'forward') cursor += duration;
    else if (element.name === 'direction') {
      out.push({ node: element, at: Math.round(cursor + inTicks(numberOf(element, 'offset') ?? 0)) });
    } else if (
      element.name === 'note' &&
      node(element, 'chord') === undefined &&
      node(element, 'grace') === undefined
    )
      cursor += duration;
  }
  return out;
}

export function timelineOf(measure: Node, standing: Standing): Timeline {
  let { divisions } = standing;
  let cursor = 0;
  let reach = 0;
  let chordAt = 0;
  const notes: TimedNote[] = [];
  const inTicks = (n: number): number => (n * TICKS_PER_QUARTER) / divisions;
  for (const element of nodes(measure)) {
    const duration = inTicks(Math.max(0, numberOf(element, 'duration') ?? 0));
    if (element.name === 'attributes') divisions = numberOf(element, 'divisions') ?? divisions;
    else if (element.name === 'backup') cursor = Math.max(0, cursor - duration);
    else if (element.name === 'forward') cursor += duration;
    else if (element.name === 'note') {
      const chord = node(element, 'chord') !== undefined;
      const grace = node(element, 'grace') !== undefined;
      if (!chord) chordAt = cursor;
      notes.push({
        node: element,
        at: Math.round(chord ? chordAt : cursor),
        length: grace
          ? 0
          : Math.round((chord ? chordAt : cursor) + duration) - Math.round(chord ? chordAt : cursor),
        voice: voiceOf(element),
        staff: staffOf(element),
        chord,
        grace,
        rest: node(element, 'rest') !== undefined,
      });
      if (!chord && !grace) cursor += duration;
    }
    reach = Math.max(reach, cursor);
  }
  return { notes, end: Math.round(cursor), reach: Math.round(reach) };
}
