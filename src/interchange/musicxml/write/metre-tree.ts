/** A bar as a tree of spans, and how a length is cut into values that leave the beats visible. */

import { type Metre, barTicks, beatTicks, isCompound } from '../../../music/metre';
import { PLAIN, noteValue } from './values';

/** A span of a bar, in ticks from the bar's start, and its parts. */
export interface Span {
  readonly start: number;
  readonly end: number;
  /** `group` holds several beats; `beat` is a felt beat; `part` lies inside one. */
  readonly level: 'group' | 'beat' | 'part';
  /** Its beats are dotted (6/8), or it is such a beat. */
  readonly compound: boolean;
  readonly parts: readonly Span[];
}

export interface Piece {
  readonly start: number;
  readonly end: number;
}

/**
 * Lengths of the felt beats of a bar, in ticks: quarters in 4/4, dotted quarters in 6/8; 5/8 falls in 3 + 2 and
 * 7/8 in 2 + 2 + 3 (common practice). Their sum is `length`, which differs from the metre in an upbeat.
 */
export function feltBeats(metre: Metre, length: number): number[] {
  const unit = beatTicks(metre) / (isCompound(metre) ? 3 : 1);
  let beats: number[];
  if (isCompound(metre) || metre.unit < 8)
    beats = Array(Math.round(barTicks(metre) / beatTicks(metre))).fill(beatTicks(metre));
  else if (metre.beats === 5) beats = [3 * unit, 2 * unit];
  else if (metre.beats === 7) beats = [2 * unit, 2 * unit, 3 * unit];
  else if (metre.beats === 3) beats = [3 * unit];
  else {
    beats = Array(metre.beats >> 1).fill(2 * unit);
    if (metre.beats % 2 === 1) beats.push(unit);
  }
  // An upbeat keeps the end of its bar; a bar that is too long goes on in the same beats.
  let sum = beats.reduce((a, b) => a + b, 0);
  while (sum < length) {
    beats.push(beats[0] as number);
    sum += beats[0] as number;
  }
  while (sum - (beats[0] as number) >= length) sum -= beats.shift() as number;
  beats[0] = (beats[0] as number) - (sum - length);
  return beats;
}

function halves(start: number, end: number): Span[] {
  const half = (end - start) / 2;
  if (half < PLAIN || half % PLAIN !== 0) return [];
  return [start, start + half].map((s) => ({
    start: s,
    end: s + half,
    level: 'part',
    compound: false,
    parts: halves(s, s + half),
  }));
}

function beatSpan(start: number, length: number): Span {
  const third = length / 3;
  const compound = noteValue(length)?.dots === 1 && third % PLAIN === 0;
  const parts = compound
    ? [0, 1, 2].map((i): Span => {
        const s = start + i * third;
        return { start: s, end: s + third, level: 'part', compound: false, parts: halves(s, s + third) };
      })
    : halves(start, start + length);
  return { start, end: start + length, level: 'beat', compound, parts };
}

function group(beats: readonly Span[]): Span {
  if (beats.length === 1) return beats[0] as Span;
  const split = Math.ceil(beats.length / 2);
  const parts = beats.length <= 3 ? beats : [group(beats.slice(0, split)), group(beats.slice(split))];
  return {
    start: (beats[0] as Span).start,
    end: (beats.at(-1) as Span).end,
    level: 'group',
    compound: beats.some((beat) => beat.compound),
    parts,
  };
}

/** The tree of a bar of this metre and length: halves of four beats, then beats, then their parts. */
export function barTree(metre: Metre, length: number): Span {
  let at = 0;
  return group(
    feltBeats(metre, length).map((beat) => {
      at += beat;
      return beatSpan(at - beat, beat);
    }),
  );
}

/** Whether a length that crosses parts of a span may stay one note: it starts or ends on a part's edge. */
function mayStand(span: Span, start: number, end: number, rest: boolean): boolean {
  const value = noteValue(end - start);
  if (value === null) return false;
  if (start === span.start && end === span.end) return !rest || value.dots === 0 || span.compound;
  if (rest) return span.level === 'beat' && span.compound && start === span.start && value.dots === 0;
  const edge = (at: number) => at === span.end || span.parts.some((part) => part.start === at);
  if (span.level === 'group' && span.compound) return edge(start) && edge(end);
  if (edge(start) || edge(end)) return true;
  // The plain syncopation short–long–short inside two beats or fewer.
  const length = span.end - span.start;
  return span.parts.length === 2 && end - start === length / 2 && start - span.start === length / 4;
}

/** Cuts [start, end) of a bar into printable pieces, tied where it is a note. Both ends lie on the plain grid. */
export function cut(span: Span, start: number, end: number, rest: boolean): Piece[] {
  if (start >= end) return [];
  const inside = span.parts.find((part) => part.start <= start && end <= part.end);
  if (inside !== undefined && !(start === span.start && end === span.end))
    return cut(inside, start, end, rest);
  if (mayStand(span, start, end, rest) || span.parts.length === 0) return [{ start, end }];
  const out: Piece[] = [];
  let i = 0;
  while (i < span.parts.length) {
    const part = span.parts[i] as Span;
    i++;
    if (part.end <= start || part.start >= end) continue;
    if (rest || part.start < start || part.end > end) {
      out.push(...cut(part, Math.max(start, part.start), Math.min(end, part.end), rest));
      continue;
    }
    // Whole parts: as many as make one value.
    let last = i - 1;
    for (let j = i; j < span.parts.length && (span.parts[j] as Span).end <= end; j++) {
      if (noteValue((span.parts[j] as Span).end - part.start) !== null) last = j;
    }
    if (last === i - 1) out.push(...cut(part, part.start, part.end, rest));
    else out.push({ start: part.start, end: (span.parts[last] as Span).end });
    i = last + 1;
  }
  return out;
}
