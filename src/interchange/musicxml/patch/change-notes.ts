/** Changes to notes that are there: pitch, removal, staff, rolls, technique, ringing. */

import type { Pitch } from '../../../music/pitch';
import { type Node, copy, dropAttribute, make, node, nodes, remove, replace } from './lossless';
import { placeOf } from './accidentals';
import { addNotation, addToNote, dropNotations, pitchNode, soundsHarmonic, writtenPitch } from './note-parts';
import type { Measure, OpenedScore } from './score';
import { type TimedNote, voiceOf } from './timeline';

export interface Found {
  readonly measure: Measure;
  readonly note: Node;
}

export function changePitch(score: OpenedScore, { measure, note }: Found, pitch: Pitch): void {
  const old = node(note, 'pitch');
  if (old === undefined) return;
  score.touch(measure, placeOf(note));
  const above = soundsHarmonic(note, score.harmonics) ? 1 : 0;
  replace(note, old, pitchNode(pitch, measure.standing.octaves - above));
  score.touch(measure, placeOf(note));
}

/** Notations that belong to the chord and not to one of its heads. */
const OF_CHORD = new Set([
  'tuplet',
  'slur',
  'fermata',
  'articulations',
  'ornaments',
  'dynamics',
  'accidental-mark',
]);

/** The notes that share the chord of a head, in the order of the file. */
export function followers(measure: Measure, note: Node): Node[] {
  const out: Node[] = [];
  const all = nodes(measure.node);
  for (let i = all.indexOf(note) + 1; i < all.length; i++) {
    const next = all[i] as Node;
    if (next.name === 'note' && node(next, 'chord') !== undefined) out.push(next);
    else if (['note', 'backup', 'forward'].includes(next.name)) break;
  }
  return out;
}

/** Takes a note out. A chord keeps its other notes, its beams and its tuplet; a note alone leaves a rest. */
export function removeNote(score: OpenedScore, { measure, note }: Found): void {
  score.touch(measure, placeOf(note));
  const [next] = followers(measure, note);
  const { notes } = score.timeline(measure);
  const own = notes.find((timed) => timed.node === note);
  if (node(note, 'chord') !== undefined) remove(measure.node, note);
  else if (next !== undefined) {
    promote(note, next);
    remove(measure.node, note);
  } else if (node(note, 'grace') !== undefined) remove(measure.node, note);
  else makeRest(note);
  if (own !== undefined)
    tidyRolls(
      notes.filter((timed) => timed.at === own.at && timed.node !== note),
      note,
    );
}

/** Makes the second note of a chord its first. */
function promote(head: Node, next: Node): void {
  const chord = node(next, 'chord');
  if (chord !== undefined) remove(next, chord);
  if (nodes(next, 'beam').length === 0) for (const beam of nodes(head, 'beam')) addToNote(next, copy(beam));
  for (const notations of nodes(head, 'notations')) {
    for (const child of nodes(notations)) if (OF_CHORD.has(child.name)) addNotation(next, copy(child));
  }
}

const REST_DROPS = ['tie', 'accidental', 'stem', 'notehead', 'notehead-text', 'lyric', 'play'];

function makeRest(note: Node): void {
  const pitch = node(note, 'pitch');
  if (pitch === undefined) return;
  replace(note, pitch, make('rest'));
  // The id names the note, which is gone or stands elsewhere.
  dropAttribute(note, 'id');
  for (const name of REST_DROPS) for (const child of nodes(note, name)) remove(note, child);
  dropNotations(note, (name) => !['tuplet', 'fermata'].includes(name));
}

/** A roll that lost a note: on one note alone there is none, and a bracket's end moves to the outermost note left. */
function tidyRolls(together: readonly TimedNote[], gone: Node): void {
  const marks = nodes(gone, 'notations').flatMap((n) => nodes(n));
  const height = (note: Node): number => {
    const pitch = writtenPitch(note);
    return pitch === null ? -1 : 7 * pitch.octave + 'CDEFGAB'.indexOf(pitch.step) + pitch.alter / 4;
  };
  const left = together.map((timed) => timed.node).filter((note) => writtenPitch(note) !== null);
  for (const { name, attributes } of marks) {
    if (name !== 'arpeggiate' && name !== 'non-arpeggiate') continue;
    const number = attributes.number ?? '1';
    const same = (mark: Node) => mark.name === name && (mark.attributes.number ?? '1') === number;
    const marked = left.filter((note) => nodes(note, 'notations').some((n) => nodes(n).some(same)));
    if (name === 'arpeggiate') {
      if (marked.length === 1) dropMark(marked[0] as Node, same);
      continue;
    }
    // Of a bracket the other end is marked; the notes between are not.
    const [other] = marked;
    if (other === undefined) continue;
    const bottom = attributes.type === 'bottom';
    const voices = [voiceOf(gone), voiceOf(other)];
    const chord = left.filter(
      (note) =>
        voices.includes(voiceOf(note)) &&
        (bottom ? height(note) < height(other) : height(note) > height(other)),
    );
    const end = chord.sort((a, b) => (bottom ? height(a) - height(b) : height(b) - height(a)))[0];
    if (end === undefined) dropMark(other, same);
    else addNotation(end, make(name, { type: bottom ? 'bottom' : 'top', number }));
  }
}

function dropMark(note: Node, which: (mark: Node) => boolean): void {
  for (const notations of nodes(note, 'notations')) {
    for (const mark of nodes(notations)) if (which(mark)) remove(notations, mark);
    if (nodes(notations).length === 0) remove(note, notations);
  }
}

/** Rolls, brackets or frees the notes, which sound together; `null` takes the sign away. */
export function setRoll(
  score: OpenedScore,
  found: readonly Found[],
  direction: 'up' | 'down' | 'none' | null,
): void {
  const isRoll = (mark: Node) => mark.name === 'arpeggiate' || mark.name === 'non-arpeggiate';
  for (const { note } of found) dropMark(note, isRoll);
  const [first] = found;
  if (direction === null || first === undefined || found.length < 2) return;
  const { notes } = score.timeline(first.measure);
  const at = notes.find((timed) => timed.node === first.note)?.at;
  const used = new Set(
    notes
      .filter((timed) => timed.at === at)
      .flatMap((timed) => nodes(timed.node, 'notations'))
      .flatMap((n) => nodes(n))
      .filter(isRoll)
      .map((mark) => Number(mark.attributes.number ?? 1)),
  );
  let number = 1;
  while (used.has(number)) number++;
  if (direction !== 'none') {
    for (const { note } of found) addNotation(note, make('arpeggiate', { number, direction }));
    return;
  }
  const height = ({ note }: Found) => {
    const pitch = writtenPitch(note);
    return pitch === null ? 0 : 7 * pitch.octave + 'CDEFGAB'.indexOf(pitch.step) + pitch.alter / 4;
  };
  const sorted = [...found].sort((a, b) => height(a) - height(b));
  addNotation((sorted[0] as Found).note, make('non-arpeggiate', { type: 'bottom', number }));
  addNotation((sorted.at(-1) as Found).note, make('non-arpeggiate', { type: 'top', number }));
}

export function letRing({ note }: Found): void {
  const rings = nodes(note, 'notations')
    .flatMap((n) => nodes(n, 'tied'))
    .some((tied) => tied.attributes.type === 'let-ring');
  if (rings) return;
  addNotation(note, make('tied', { type: 'let-ring' }));
}
