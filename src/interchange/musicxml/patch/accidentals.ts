/** Accidentals of the spellings that a change touched, put right to the end of the bar. */

import type { Letter } from '../../../music/pitch';
import { keySetting, positionOf } from '../../../harp/setting';
import { type Node, make, node, nodes, remove, replace } from './lossless';
import { addToNote, writtenPitch } from './note-parts';
import type { Measure, OpenedScore } from './score';
import { staffOf } from './timeline';

const NAMES: Readonly<Record<string, string>> = {
  '-2': 'flat-flat',
  '-1': 'flat',
  '0': 'natural',
  '1': 'sharp',
  '2': 'double-sharp',
};

/** Staff, letter and octave of a note: the line or space on which an accidental holds. */
export function placeOf(note: Node): string {
  const pitch = writtenPitch(note);
  return pitch === null ? '' : `${staffOf(note)} ${pitch.step}${pitch.octave}`;
}

const tiedFrom = (note: Node): boolean =>
  [...nodes(note, 'tie'), ...nodes(note, 'notations').flatMap((n) => nodes(n, 'tied'))].some(
    (tie) => tie.attributes.type === 'stop',
  );

function show(note: Node, alter: number): void {
  const made = make('accidental', {}, NAMES[alter] ?? 'natural');
  const old = node(note, 'accidental');
  if (old !== undefined) replace(note, old, made);
  else addToNote(note, made);
}

/**
 * On every line that was touched, each note whose inflection differs from what stands shows it; a sign that says
 * something else is corrected; signs that agree are left, so that courtesies stay.
 */
export function rightAccidentals(score: OpenedScore, measure: Measure, places: ReadonlySet<string>): void {
  const { fifths } = measure.standing;
  const stands = new Map<string, number>();
  const { notes } = score.timeline(measure);
  const inTime = notes
    .map((note, index) => ({ ...note, index }))
    .sort((a, b) => a.at - b.at || Number(b.grace) - Number(a.grace) || a.index - b.index);
  for (const { node: note } of inTime) {
    const place = placeOf(note);
    const pitch = writtenPitch(note);
    if (pitch === null || !places.has(place)) continue;
    const before = stands.get(place) ?? positionOf(keySetting(fifths), pitch.step as Letter);
    stands.set(place, pitch.alter);
    const shown = node(note, 'accidental');
    if (tiedFrom(note)) {
      if (shown !== undefined) remove(note, shown);
      continue;
    }
    if (before !== pitch.alter || shown !== undefined) show(note, pitch.alter);
  }
}
