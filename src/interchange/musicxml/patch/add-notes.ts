/** Adds notes to a measure: into a chord, into a rest, or in a voice that is free. */

import { cutUnits, noteValue } from '../write/values';
import { placeOf } from './accidentals';
import { type Node, copy, insertAfter, insertBefore, make, node, nodes, replace } from './lossless';
import { addNotation, addToNote, dropNotations } from './note-parts';
import type { Measure, OpenedScore } from './score';
import type { TimedNote } from './timeline';

/** Where and how long: ticks from the measure's start. */
export interface Span {
  readonly at: number;
  readonly length: number;
}

/** Children that a new note takes over from the note or rest whose time it shares. */
const TIME_PARTS = ['type', 'dot', 'time-modification'];
/** Voices of a hand (common practice of this program's files: 1–4 the right, 5–8 the left). */
const HAND_VOICES = 4;

/**
 * Adds a note whose own parts (pitch, notations) are in `body`. `voice` is kept where it is free; else the next free
 * voice of the same four is taken, or the first one after all that are used.
 */
export function addNote(
  score: OpenedScore,
  measure: Measure,
  span: Span,
  body: Node,
  voice: number,
  staff: 1 | 2,
): void {
  const { notes } = score.timeline(measure);
  const own = notes.filter((timed) => timed.voice === voice && !timed.grace);
  const same = own.filter((timed) => timed.at === span.at && timed.length === span.length);
  const head = same.find((timed) => !timed.rest && !timed.chord);
  if (head !== undefined) joinChord(measure, head, same.at(-1) as TimedNote, body, staff);
  else {
    const exact = same.find((timed) => timed.rest);
    const wide = own.find((t) => t.rest && t.at <= span.at && t.at + t.length >= span.at + span.length);
    if (exact !== undefined) takeRest(measure, exact, body, staff);
    else if (wide !== undefined && node(wide.node, 'time-modification') === undefined) {
      splitRest(score, measure, wide, span, body, staff);
    } else appendVoice(score, measure, span, body, freeVoice(notes, span, voice), staff);
  }
  score.touch(measure, placeOf(body));
}

function setTime(body: Node, from: Node, voice: number, staff: 1 | 2, staves: number): void {
  for (const name of ['duration', 'voice', 'staff', ...TIME_PARTS]) {
    for (const child of nodes(body, name)) body.content.splice(body.content.indexOf(child), 1);
  }
  const duration = node(from, 'duration');
  if (duration !== undefined) addToNote(body, copy(duration));
  addToNote(body, make('voice', {}, voice));
  for (const name of TIME_PARTS) for (const child of nodes(from, name)) addToNote(body, copy(child));
  if (staves > 1) addToNote(body, make('staff', {}, staff));
}

function joinChord(measure: Measure, head: TimedNote, last: TimedNote, body: Node, staff: 1 | 2): void {
  setTime(body, head.node, head.voice, staff, staff === 2 || node(head.node, 'staff') !== undefined ? 2 : 1);
  addToNote(body, make('chord'));
  // A chord is rolled as a whole.
  const rolls = nodes(head.node, 'notations').flatMap((n) => nodes(n, 'arpeggiate'));
  for (const roll of rolls.slice(0, 1)) {
    const { number, direction } = roll.attributes;
    addNotation(
      body,
      make('arpeggiate', {
        ...(number === undefined ? {} : { number }),
        ...(direction === undefined ? {} : { direction }),
      }),
    );
  }
  insertAfter(measure.node, last.node, body);
}

function takeRest(measure: Measure, rest: TimedNote, body: Node, staff: 1 | 2): void {
  setTime(body, rest.node, rest.voice, staff, staff === 2 || node(rest.node, 'staff') !== undefined ? 2 : 1);
  if (node(body, 'type') === undefined) addValue(body, rest.length);
  for (const beam of nodes(rest.node, 'beam')) addToNote(body, copy(beam));
  const tuplets = nodes(rest.node, 'notations').flatMap((n) => nodes(n, 'tuplet'));
  for (const tuplet of tuplets) addNotation(body, copy(tuplet));
  replace(measure.node, rest.node, body);
}

/** `type` and `dot` of a length, where one printed value has it. */
function addValue(note: Node, length: number): void {
  const value = noteValue(length);
  if (value === null) return;
  addToNote(note, make('type', {}, value.type));
  if (value.dots === 1) addToNote(note, make('dot'));
}

const SHORTEST = 105;

/** Rests that fill a length, in printable values where the length is a sum of them. */
function rests(
  score: OpenedScore,
  measure: Measure,
  length: number,
  voice: number,
  staff: 1 | 2,
  shown: boolean,
): Node[] {
  if (length <= 0) return [];
  const pieces =
    length % SHORTEST === 0 ? cutUnits(length / SHORTEST, SHORTEST).map((n) => n * SHORTEST) : [length];
  return pieces.map((piece) => {
    const rest = make('note', shown ? {} : { 'print-object': 'no' }, make('rest'));
    addToNote(rest, make('duration', {}, score.divisions(measure, piece)));
    addToNote(rest, make('voice', {}, voice));
    addValue(rest, piece);
    if (measure.standing.staves > 1 || staff === 2) addToNote(rest, make('staff', {}, staff));
    return rest;
  });
}

function timed(
  score: OpenedScore,
  measure: Measure,
  length: number,
  body: Node,
  voice: number,
  staff: 1 | 2,
): void {
  const pattern = make('note', {}, make('duration', {}, score.divisions(measure, length)));
  addValue(pattern, length);
  setTime(body, pattern, voice, staff, staff === 2 ? 2 : staves(score, measure));
}

const staves = (score: OpenedScore, measure: Measure): number =>
  Math.max(measure.standing.staves, ...score.timeline(measure).notes.map((n) => n.staff));

function splitRest(
  score: OpenedScore,
  measure: Measure,
  rest: TimedNote,
  span: Span,
  body: Node,
  staff: 1 | 2,
): void {
  timed(score, measure, span.length, body, rest.voice, staff);
  const shown = rest.node.attributes['print-object'] !== 'no';
  const fill = (length: number) => rests(score, measure, length, rest.voice, rest.staff, shown);
  const after = rest.at + rest.length - span.at - span.length;
  replace(measure.node, rest.node, ...fill(span.at - rest.at), body, ...fill(after));
}

/** The wanted voice where nothing of it stands in the span, else the next free one of the hand. */
function freeVoice(notes: readonly TimedNote[], span: Span, wanted: number): number {
  const taken = new Set(notes.map((n) => n.voice));
  const first = HAND_VOICES * Math.floor((wanted - 1) / HAND_VOICES) + 1;
  const choices = [wanted, ...Array.from({ length: HAND_VOICES }, (_, i) => first + i)];
  return choices.find((voice) => !taken.has(voice)) ?? Math.max(...taken) + 1;
}

/** Writes a voice of its own at the end of the measure, its rests unseen. */
function appendVoice(
  score: OpenedScore,
  measure: Measure,
  span: Span,
  body: Node,
  voice: number,
  staff: 1 | 2,
): void {
  const { end, reach } = score.timeline(measure);
  timed(score, measure, span.length, body, voice, staff);
  const back = make('backup', {}, make('duration', {}, score.divisions(measure, end)));
  const fill = (length: number) => rests(score, measure, length, voice, staff, false);
  const added = [...(end > 0 ? [back] : []), ...fill(span.at), body, ...fill(reach - span.at - span.length)];
  const last = nodes(measure.node).findLast((n) => ['note', 'backup', 'forward'].includes(n.name));
  const barline = nodes(measure.node).find((n) => n.name === 'barline' && n.attributes.location !== 'left');
  if (last !== undefined) insertAfter(measure.node, last, ...added);
  else if (barline !== undefined) insertBefore(measure.node, barline, ...added);
  else insertAfter(measure.node, nodes(measure.node).at(-1) ?? null, ...added);
}

/** Voices of a staff that small notes may have, the last first: they are to say nothing of the hands. */
function cueVoices(notes: readonly TimedNote[], staff: 1 | 2): number[] {
  const left = staff === 2 && notes.some((n) => n.voice > HAND_VOICES);
  return left ? [8, 7, 6] : [4, 3, 2];
}

/** Adds a note that is printed small and not played; false where no voice is free for it. */
export function addCue(score: OpenedScore, measure: Measure, span: Span, body: Node, staff: 1 | 2): boolean {
  const { notes } = score.timeline(measure);
  const free = (voice: number): boolean =>
    notes.every((n) => n.voice !== voice || n.rest || node(n.node, 'cue') !== undefined);
  const voice = cueVoices(notes, staff).find(free);
  if (voice === undefined) return false;
  for (const tie of nodes(body, 'tie')) body.content.splice(body.content.indexOf(tie), 1);
  dropNotations(body, (name) => name === 'tied');
  addNote(score, measure, span, body, voice, staff);
  body.content.unshift(make('cue'));
  return true;
}

/** The parts of a note that it takes along to another voice. */
export function bodyOf(note: Node): Node {
  const body = copy(note);
  for (const name of ['chord', 'beam', 'stem', 'lyric', 'accidental']) {
    for (const child of nodes(body, name)) body.content.splice(body.content.indexOf(child), 1);
  }
  dropNotations(body, (name) => ['tuplet', 'slur', 'arpeggiate', 'non-arpeggiate'].includes(name));
  return body;
}
