/** A pedal slide written into a score: a straight line from its note to a small note after it, as our own files have it. */

import type { Pitch } from '../../../music/pitch';
import { placeOf } from './accidentals';
import { type Found, followers } from './change-notes';
import { copy, insertAfter, make, node, nodes } from './lossless';
import { addNotation, addToNote, pitchNode, soundsHarmonic } from './note-parts';
import type { OpenedScore } from './score';

/** Numbers of lines that run at once (W3C MusicXML 4.0, number-level). */
const MOST_LINES = 16;

/**
 * `notes` are the note that slides and those tied to it, in order: the line begins at the first, and the small note of
 * the string's new pitch stands after the chord of the last. Its accidental is seen to with the bar's others.
 */
export function addSlide(score: OpenedScore, notes: readonly Found[], pitch: Pitch, id: string): void {
  const [first, last] = [notes[0], notes.at(-1)];
  if (first === undefined || last === undefined) return;
  const used = new Set(
    [first, last].flatMap(({ measure }) =>
      nodes(measure.node, 'note')
        .flatMap((n) => nodes(n, 'notations'))
        .flatMap((n) => [...nodes(n, 'slide'), ...nodes(n, 'glissando')])
        .map((line) => Number(line.attributes.number ?? 1)),
    ),
  );
  let number = 1;
  while (used.has(number) && number < MOST_LINES) number++;
  const line = (type: 'start' | 'stop') => make('slide', { type, number, 'line-type': 'solid' });
  addNotation(first.note, line('start'));
  const { measure, note } = last;
  const above = soundsHarmonic(note, score.harmonics) ? 1 : 0;
  const small = make(
    'note',
    { id: score.freeId(id) },
    make('grace', { slash: 'yes', 'steal-time-previous': 1 }),
    pitchNode(pitch, measure.standing.octaves - above),
  );
  for (const name of ['voice', 'staff']) {
    const own = node(note, name);
    if (own !== undefined) addToNote(small, copy(own));
  }
  addToNote(small, make('type', {}, 'quarter'));
  addToNote(small, make('stem', {}, 'none'));
  addNotation(small, line('stop'));
  insertAfter(measure.node, followers(measure, note).at(-1) ?? note, small);
  score.touch(measure, placeOf(small));
}
