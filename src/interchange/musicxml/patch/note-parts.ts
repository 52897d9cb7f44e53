/** The children of a note: their order in the schema, and changes to single ones. */

import type { Technique } from '../../../music/passage';
import type { Pitch } from '../../../music/pitch';
import {
  type Node,
  insertAfter,
  insertInOrder,
  make,
  node,
  nodes,
  remove,
  replace,
  textOf,
} from './lossless';

/** Order of a note's children (W3C MusicXML 4.0, note). */
const NOTE_ORDER = [
  'grace',
  'cue',
  'chord',
  'pitch',
  'unpitched',
  'rest',
  'duration',
  'tie',
  'instrument',
  'footnote',
  'level',
  'voice',
  'type',
  'dot',
  'accidental',
  'time-modification',
  'stem',
  'notehead',
  'notehead-text',
  'staff',
  'beam',
  'notations',
  'lyric',
  'play',
  'listen',
];

export const addToNote = (note: Node, child: Node): void => insertInOrder(note, child, NOTE_ORDER);

/** Sets the text of a child, which is made where it is missing. */
export function setChild(note: Node, name: string, value: string | number): void {
  const old = node(note, name);
  const made = make(name, old?.attributes ?? {}, value);
  if (old === undefined) addToNote(note, made);
  else replace(note, old, made);
}

/** A note's first notations, made where there are none. */
export function notationsOf(note: Node): Node {
  const found = node(note, 'notations');
  if (found !== undefined) return found;
  const made = make('notations', {}, '');
  made.content = [];
  made.open = '<notations>';
  made.close = '</notations>';
  addToNote(note, made);
  return made;
}

export function addNotation(note: Node, child: Node): void {
  const notations = notationsOf(note);
  insertAfter(notations, nodes(notations).at(-1) ?? null, child);
}

/** Takes out notations of these names (or all but those kept), and what is left empty. */
export function dropNotations(note: Node, drop: (name: string) => boolean): void {
  for (const notations of nodes(note, 'notations')) {
    for (const child of nodes(notations)) if (drop(child.name)) remove(notations, child);
    if (nodes(notations).length === 0) remove(note, notations);
  }
}

/** The pitch of a note as it is written, or null for rests. */
export function writtenPitch(note: Node): { step: string; alter: number; octave: number } | null {
  const pitch = node(note, 'pitch');
  if (pitch === undefined) return null;
  const alter = Number(textOf(node(pitch, 'alter')) || 0);
  return { step: textOf(node(pitch, 'step')), alter, octave: Number(textOf(node(pitch, 'octave'))) };
}

/** Whether a note is a harmonic written where it sounds; `unsaid` holds for those that say neither. */
export const soundsHarmonic = (note: Node, unsaid: 'string' | 'sounding'): boolean =>
  nodes(note, 'notations')
    .flatMap((n) => nodes(n, 'technical'))
    .flatMap((t) => nodes(t, 'harmonic'))
    .some(
      (h) =>
        node(h, 'sounding-pitch') !== undefined ||
        (unsaid === 'sounding' && node(h, 'base-pitch') === undefined),
    );

/** `octaves` are those that the part sounds above what is written. */
export function pitchNode(pitch: Pitch, octaves: number): Node {
  return make(
    'pitch',
    {},
    make('step', {}, pitch.letter),
    pitch.alter === 0 ? null : make('alter', {}, pitch.alter),
    make('octave', {}, pitch.octave - octaves),
  );
}

/** Puts a technique in place of the one that the note carries. */
export function setTechnique(note: Node, technique: Technique): void {
  for (const notations of nodes(note, 'notations')) {
    for (const technical of nodes(notations, 'technical')) {
      for (const mark of nodes(technical)) {
        if (['harmonic', 'fingernails', 'other-technical'].includes(mark.name)) remove(technical, mark);
      }
      if (nodes(technical).length === 0) remove(notations, technical);
    }
  }
  dropNotations(note, () => false);
  const made =
    technique === 'harmonic'
      ? make('harmonic', {}, make('natural'), make('base-pitch'))
      : technique === 'nail'
        ? make('fingernails')
        : technique === 'etouffe'
          ? make('other-technical', {}, 'étouffé')
          : technique === 'table'
            ? make('other-technical', {}, 'près de la table')
            : null;
  if (made !== null) addNotation(note, make('technical', {}, made));
}
