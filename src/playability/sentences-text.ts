/** Sentences of what is typed or opened: chords, keys, settings, files, and figures that do not suit. */

import type { Problem } from '../base/problem';
import { type Say, detail, numberWord, quantity } from './wording';

/** A chord symbol that is not one, with the nearest that is. */
const unread: Say = (p) => {
  const nearest = String(p.limit);
  return `“${p.value}” is not a chord symbol that can be read${nearest === '' ? '.' : `; did you mean ${nearest}?`}`;
};

const file =
  (text: string): Say =>
  (p) =>
    `${text}${tail(p)}.`;
const tail = (p: Problem): string => (String(p.value) === '' || p.value === 0 ? '' : ` (${p.value})`);
/** With what is read as the second half. */
const fileLimit =
  (text: string): Say =>
  (p) =>
    `${text}${tail(p)}; what is read: ${p.limit}.`;

export const TEXT_SENTENCES: Readonly<Record<string, Say>> = {
  'unknown-chord': unread,
  'chord-symbol': unread,
  'roman-needs-key': (p) =>
    `“${p.value}” is a Roman numeral: give a key to read it in, such as C or a minor.`,
  'key-unreadable': (p) => `“${p.value}” is not a key that can be read; write one such as E♭, c or F♯ minor.`,
  'empty-progression': () => 'there are no chords yet: type some, such as Cmaj7 | A7 | Dm7 G7.',
  'nothing-to-hold': () => 'a slash holds the chord before it, and there is none yet.',
  'nothing-to-repeat': (p) => `${p.value} repeats the bar before it, and there is none yet.`,
  'repeat-not-alone': (p) =>
    `${p.value} repeats a whole bar and stands alone in it; to hold a chord write a slash.`,
  'bar-overfull': (p) =>
    `this bar has ${numberWord(p.value)} beats written out, the metre ${numberWord(p.limit)}: they are shared evenly.`,
  'bar-uneven': (p) =>
    `this bar is shared by ${numberWord(p.value)} chords, which its beats do not divide into.`,
  'empty-bar': () =>
    'this bar is empty: it holds the chord before; write % to repeat the bar, N.C. for silence.',
  'repeat-sign': () => 'repeat signs are read as plain bar lines: write the bars out, or use %.',
  'setting-text': (p) => `the pedal setting has ${p.value}; write ${p.limit}.`,

  'figure-unsuited': (p) =>
    typeof p.value === 'number'
      ? `this figure is not for a tempo of ${p.value}: it wants ${p.limit}.`
      : `this figure does not suit here: ${p.value}; it wants ${p.limit}.`,
  'figure-file': (p) =>
    `the figure file is not right${String(p.value) === '' ? '' : ` at ${p.value}`}: ${p.limit}.`,
  'right-hand-low': () => 'the right hand would go too low.',
  placing: (p) =>
    `a hand has ${quantity(p.value, p.unit)} to place a chord; it needs ${quantity(p.limit, p.unit)}.`,
  'line-speed': (p) =>
    `one hand would play six notes in ${quantity(p.value, p.unit)}; it needs ${quantity(p.limit, p.unit)}.`,
  'chord-speed': (p) =>
    `a new chord follows after ${quantity(p.value, p.unit)}; a hand needs ${quantity(p.limit, p.unit)}.`,
  'etouffe-speed': (p) =>
    `étouffés follow after ${quantity(p.value, p.unit)}; damping needs ${quantity(p.limit, p.unit)}.`,
  'harmonic-speed': (p) =>
    `harmonics follow after ${quantity(p.value, p.unit)}; a hand needs ${quantity(p.limit, p.unit)}.`,
  'both-hands-speed': (p) =>
    `the hands follow each other after ${quantity(p.value, p.unit)}; ${quantity(p.limit, p.unit)} is comfortable.`,
  repeat: (p) =>
    `the ${detail(p, 'string')} string would sound again after ${quantity(p.value, p.unit)}; it needs ${quantity(p.limit, p.unit)}.`,
  'one-string-twice': (p) => `the ${detail(p, 'string')} string is wanted twice at once.`,

  'file-empty': () => 'the file is empty.',
  'file-too-large': fileLimit('the file is too large'),
  'file-kind': fileLimit('this is not a music file that can be read'),
  'file-encoding': fileLimit('the text encoding of the file cannot be read'),
  'zip-broken': (p) => `the compressed file is damaged: ${p.value}.`,
  'zip-no-score': (p) => `the compressed file holds no score: ${p.value}.`,
  'xml-broken': file('the file is not well-formed XML'),
  'xml-too-deep': file('the file is nested too deeply'),
  'xml-too-large': file('the score is too large'),
  'not-musicxml': fileLimit('the file is not a MusicXML score'),
  'part-missing': (p) => `there is no part named “${p.value}”; the parts are ${p.limit}.`,
  'part-empty': () => 'the part has no bars.',
  retexture: (p) => `${p.value} cannot be put in another figure: it needs ${p.limit}.`,
  'part-silent': (p) =>
    detail(p, 'kind') === 'percussion'
      ? `the part${p.value === '' ? '' : ` “${p.value}”`} is for percussion: none of its ${detail(p, 'notes')} notes has a pitch; choose a part that plays pitches.`
      : `the part “${p.value}” has no notes: choose a part that plays.`,
  'part-transposed': (p) => {
    const way = Number(p.value) > 0 ? 'lower' : 'higher';
    const steps = numberWord(Math.abs(Number(p.value)));
    return (
      `the part is for a transposing instrument, written ${steps} semitone${steps === 'one' ? '' : 's'} ${way} than it sounds; ` +
      `what is read: ${p.limit}.`
    );
  },
  'midi-broken': file('the MIDI file is damaged'),
  'midi-timing': fileLimit('the MIDI file counts time in a way that is not read'),
  'edit-place': (p) => `a change names ${p.value}, which the file does not have.`,
  'work-broken': () => 'the saved work is damaged or cut short.',
  'work-kind': () => 'the file is JSON, but no work that was saved here.',
  'work-version': (p) =>
    `the work was saved by a newer program (${p.value}); this one reads up to ${p.limit}.`,
  'work-shape': (p) => `the saved work is not right at “${p.value}”: ${p.limit}.`,
  'work-no-part': () => 'the saved work holds no part yet: choose a proposal or bring a part, then save.',
  engraving: file('the score could not be engraved'),
};
